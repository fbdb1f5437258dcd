import { svelte } from "@sveltejs/vite-plugin-svelte";
import { svelteTesting } from "@testing-library/svelte/vite";
import { defineConfig } from "vitest/config";

export default defineConfig({
  plugins: [svelte(), svelteTesting()],
  // The window loads the files from the program itself, so paths stay relative.
  base: "./",
  build: {
    // The oldest engine that a supported system still brings.
    target: "safari15",
    cssCodeSplit: false,
    modulePreload: false,
    reportCompressedSize: false,
  },
  server: { port: 5199, strictPort: true },
  test: {
    environment: "jsdom",
    include: ["src/**/*.test.ts"],
    // One browser of the imagination for all files: making a new one for each takes most of the time.
    pool: "threads",
    isolate: false,
    maxWorkers: 1,
    setupFiles: ["src/setup.test-env.ts"],
  },
});
