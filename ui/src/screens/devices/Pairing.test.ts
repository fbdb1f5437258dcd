import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { PairingView } from "../../generated/types";
import { text, useLocale } from "../../text";
import Pairing from "./Pairing.svelte";

const NOTHING: PairingView = { state: "none", name: "", role: "", words: [], reason: "" };
const WORDS = ["amber", "fence", "otter", "quiet"];

let backend: FakeBackend;
let pairing: PairingView;

beforeEach(() => {
  useLocale("en-GB");
  pairing = NOTHING;
  backend = new FakeBackend({
    "devices.pairing": () => pairing,
    "devices.read_qr": ({ path }) => {
      if (path !== "code.png") throw new Refusal({ code: "refused", message: "no QR code was found in the picture" });
      return { text: "sward1-FROM-THE-PICTURE" };
    },
    "devices.join": () => (pairing = { ...NOTHING, state: "compare", name: "Office machine", words: WORDS }),
    "devices.confirm": ({ match }) =>
      (pairing = match
        ? { ...pairing, state: "waiting" }
        : { ...NOTHING, state: "failed", reason: "the pairing was called off" }),
  });
  useBackend(backend);
});

const asked = (name: string) => backend.asked.filter((one) => one.name === name).map((one) => one.request);

async function enterCode(): Promise<void> {
  render(Pairing);
  await fireEvent.click(await screen.findByRole("button", { name: text.devices.join }));
}

it("a code is joined with as it was typed, and not before something is typed", async () => {
  await enterCode();
  const now = screen.getByRole("button", { name: text.devices.joinNow }) as HTMLButtonElement;
  expect(now.disabled).toBe(true);
  await fireEvent.input(screen.getByLabelText(text.devices.joinText), { target: { value: "sward1-TYPED" } });
  expect(now.disabled).toBe(false);
  await fireEvent.click(now);
  await screen.findByText(text.devices.compareTitle("Office machine"));
  expect(asked("devices.join")).toEqual([{ code: "sward1-TYPED" }]);
});

it("a picture of the code is read and joined with in one go", async () => {
  await enterCode();
  backend.picked = "code.png";
  await fireEvent.click(screen.getByRole("button", { name: text.devices.picture }));
  await screen.findByText(text.devices.compareTitle("Office machine"));
  expect(asked("devices.join")).toEqual([{ code: "sward1-FROM-THE-PICTURE" }]);
});

it("a picture without a code is said, keeps what was typed, and joins with nothing", async () => {
  await enterCode();
  await fireEvent.input(screen.getByLabelText(text.devices.joinText), { target: { value: "half a co" } });
  backend.picked = "lawn.png";
  await fireEvent.click(screen.getByRole("button", { name: text.devices.picture }));
  await screen.findByText(/no QR code was found/);
  expect((screen.getByLabelText(text.devices.joinText) as HTMLTextAreaElement).value).toBe("half a co");
  expect(asked("devices.join")).toEqual([]);
});

it("whoever turns away from choosing a picture is where they were", async () => {
  await enterCode();
  backend.picked = null;
  await fireEvent.click(screen.getByRole("button", { name: text.devices.picture }));
  expect(asked("devices.read_qr")).toEqual([]);
  screen.getByLabelText(text.devices.joinText);
});

it("the words are shown in order, and both answers are passed on as they were given", async () => {
  pairing = { ...NOTHING, state: "compare", name: "Phone", words: WORDS };
  render(Pairing);
  await screen.findByText(text.devices.compareTitle("Phone"));
  expect(screen.getAllByRole("listitem").map((item) => item.textContent)).toEqual(WORDS);
  await fireEvent.click(screen.getByRole("button", { name: text.devices.same }));
  await screen.findByText(text.devices.waitingFor("Phone"));
  expect(asked("devices.confirm")).toEqual([{ match: true }]);
});

it("words that differ end it, and why is said where one can begin again", async () => {
  pairing = { ...NOTHING, state: "compare", name: "Phone", words: WORDS };
  render(Pairing);
  await fireEvent.click(await screen.findByRole("button", { name: text.devices.differ }));
  await screen.findByText(/called off/);
  expect(asked("devices.confirm")).toEqual([{ match: false }]);
  await waitFor(() => screen.getByRole("button", { name: text.devices.invite }));
});
