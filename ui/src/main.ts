import { mount } from "svelte";

import App from "./App.svelte";
import { useBackend } from "./backend";
import { FakeBackend } from "./backend/fake";
import { hasShell, shell } from "./backend/tauri";
import "./styles/base.css";
import { text } from "./text";

const NO_SHELL = { code: "no-notebook", message: text.start.shell, field: null } as const;

// In a plain browser there is no core to ask: every answer is a refusal that says so.
useBackend(hasShell() ? shell : new FakeBackend({}, { notebook: "", open: false, problem: NO_SHELL, phone: false }));

const target = document.getElementById("app");
if (!target) throw new Error("the page has no place for the app");
mount(App, { target });
