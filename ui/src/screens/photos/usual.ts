/** What a measurement takes unless a person says otherwise. */
export const USUAL = { note: "", keep_exposure: false, left_out: [] as [number, number][][] };
