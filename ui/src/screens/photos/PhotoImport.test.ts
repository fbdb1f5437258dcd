import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { SortedPhotos } from "../../generated/types";
import { device } from "../../state/device.svelte";
import { text, useLocale } from "../../text";
import PhotoImport from "./PhotoImport.svelte";

let backend: FakeBackend;
beforeEach(() => {
  useLocale("en-GB");
  backend = new FakeBackend({
    "zone.list": () => [],
    "photo.sort": () => ({ photos: [], ready: 0, ignored: 0 }) as unknown as SortedPhotos,
  });
  useBackend(backend);
});

const sorted = () => backend.asked.filter(({ name }) => name === "photo.sort").map(({ request }) => (request as { paths: string[] }).paths);

it("a phone offers its camera, and what it takes is put aside and looked at as a file", async () => {
  device.phone = true;
  render(PhotoImport, { steps: ["z"] });
  const camera = await screen.findByLabelText(text.photo.camera);
  // The web view opens the camera for exactly these words.
  expect([camera.getAttribute("type"), camera.getAttribute("accept"), camera.getAttribute("capture")]).toEqual(["file", "image/*", "environment"]);
  const photo = new File([new Uint8Array(3)], "photo.jpg", { type: "image/jpeg" });
  await fireEvent.change(camera, { target: { files: [photo] } });
  await waitFor(() => expect(sorted()).toEqual([["/taken-1.jpg"]]));
  expect(backend.asides).toEqual([photo]);
  // The second photo comes beside the first.
  await fireEvent.change(camera, { target: { files: [photo] } });
  await waitFor(() => expect(sorted().at(-1)).toEqual(["/taken-1.jpg", "/taken-2.jpg"]));
});

it("an office machine offers none", async () => {
  device.phone = false;
  render(PhotoImport, { steps: ["z"] });
  await screen.findByText(text.photo.pickPhotos);
  expect(screen.queryByLabelText(text.photo.camera)).toBeNull();
});
