/** What the test's browser lacks and every real one has. */
if (!globalThis.matchMedia) {
  globalThis.matchMedia = (query: string) =>
    Object.assign(new EventTarget(), {
      matches: query.includes("min-width"),
      media: query,
      onchange: null,
      addListener() {},
      removeListener() {},
    }) as unknown as MediaQueryList;
}

// The tests' page has no layout, so that nothing changes its size.
globalThis.ResizeObserver ??= class {
  observe(): void {}
  unobserve(): void {}
  disconnect(): void {}
};
