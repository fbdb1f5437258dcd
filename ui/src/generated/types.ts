// Written by `cargo xtask types` from the Rust types; edit those instead.

/**
 * A plan to accept.
 */
export type AcceptRequest = { 
/**
 * Changes of single visits by their key.
 */
changes: { [key in string]: ItemChange }, 
/**
 * A note.
 */
note: string, 
/**
 * The panel.
 */
panel: string, 
/**
 * Guideline whose limits are kept; the first confirmed one of each reading when left out.
 */
guideline?: string, 
/**
 * Wanted pH; the middle of the published range when left out.
 */
target_ph?: number, 
/**
 * Scale of the wanted pH: `water` or `cacl2`; `water` when left out.
 */
target_scale?: string, 
/**
 * Lime method by id; the first confirmed one that has its readings when left out.
 */
lime_method?: string, 
/**
 * Calcium source by id, where the readings leave a choice or a person knows better.
 */
calcium_source?: string, 
/**
 * Nitrogen of the season as the element, g/m2, from which the season's use follows.
 */
season_nitrogen?: Amount, 
/**
 * First day work can start; the renovation day, or today, when left out.
 */
start?: string, 
/**
 * Material by purpose, where it is not the usual one: `{ "k": "muriate-of-potash" }`.
 */
materials: { [key in string]: string }, 
/**
 * Purposes to leave out.
 */
skip: Array<string>, };

/**
 * A material from its label.
 */
export type AddMaterial = { 
/**
 * Fields of the form by name.
 */
fields: Record<string, unknown>, 
/**
 * The analysis.
 */
analysis: Array<AnalysisLine>, 
/**
 * Mass of one pack, where the price is known too.
 */
pack?: Amount, 
/**
 * Price of one pack.
 */
price?: number, };

/**
 * Photos to keep, all in one action.
 */
export type AddPhotos = { 
/**
 * The photos.
 */
photos: Array<PhotoToAdd>, };

/**
 * A new record.
 */
export type AddRecord = { 
/**
 * Its kind.
 */
kind: string, 
/**
 * The property of a zone, or the zone of anything that happens on one, by id or name.
 */
within?: string, 
/**
 * Fields by name.
 */
fields: Record<string, unknown>, };

/**
 * Temperatures to keep.
 */
export type AddTemperatures = { 
/**
 * The property, by id or name.
 */
property: string, 
/**
 * Path of a CSV file: a day and a temperature, or a day with least and greatest, in each row.
 */
path?: string, 
/**
 * The same as text, typed or pasted; no heading is needed.
 */
text?: string, 
/**
 * `C` or `F`, where the headings do not say so; `C` when left out.
 */
unit?: string, 
/**
 * Words.
 */
note: string, };

/**
 * A number in the person's own unit; without one it is in the documented unit.
 */
export type Amount = number | string | { value: number, unit: string };

/**
 * One line of a label's analysis.
 */
export type AnalysisLine = { 
/**
 * The element or its oxide as printed: `N`, `P2O5`, `K`.
 */
name: string, 
/**
 * Per cent by mass.
 */
percent: number, };

/**
 * What is measured.
 */
export type AnalyteLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Name.
 */
name: string, 
/**
 * Symbol.
 */
symbol: string, 
/**
 * Units a reading may carry.
 */
units: Array<string>, 
/**
 * Methods it is measured by.
 */
methods: Array<MethodLine>, };

/**
 * A person's answer to a question of the preview.
 */
export type AnswerGiven = { 
/**
 * The question's id.
 */
question: string, 
/**
 * Which of its choices, counted from 0.
 */
choice: number, };

/**
 * What one run of a calculation answers.
 */
export type CalcOutcome = { 
/**
 * The calculation.
 */
id: string, 
/**
 * Named values.
 */
result: Array<NamedValue>, 
/**
 * The shown arithmetic.
 */
working: WorkingDto, 
/**
 * On whose word.
 */
sources: Array<SourceDto>, 
/**
 * What to mind.
 */
cautions: Array<string>, };

/**
 * A calculation to run.
 */
export type CalcRequest = { 
/**
 * Its id.
 */
id: string, 
/**
 * Its inputs by name.
 */
inputs: Record<string, unknown>, };

/**
 * The calcium source.
 */
export type CalciumView = { 
/**
 * The source planned with, by id.
 */
chosen: string, 
/**
 * In words.
 */
chosen_words: string, 
/**
 * Whether a person chose it.
 */
by_person: boolean, 
/**
 * What the readings leave to choose from, the likeliest first, by id.
 */
choices: Array<string>, 
/**
 * Why, in full sentences.
 */
reasons: Array<string>, 
/**
 * What differs between the choices.
 */
differences: Array<string>, 
/**
 * What would settle it.
 */
settle: Array<string>, 
/**
 * How it came about.
 */
working: WorkingDto, 
/**
 * The lime need, where lime is called for.
 */
lime: LimeView | null, 
/**
 * Gypsum for sodium, g/m2 of the material as sold.
 */
gypsum_g_m2: number | null, 
/**
 * How that came about.
 */
gypsum_working: WorkingDto | null, };

/**
 * A calculation as shells list it.
 */
export type CalculationInfo = { 
/**
 * Id.
 */
id: string, 
/**
 * Title.
 */
title: string, 
/**
 * Inputs.
 */
inputs: Array<InputInfo>, 
/**
 * Outputs.
 */
outputs: Array<OutputInfo>, 
/**
 * Sources.
 */
sources: Array<SourceDto>, };

/**
 * Backwards from the renovation day.
 */
export type CalendarView = { 
/**
 * The renovation day.
 */
renovation: string, 
/**
 * Latest day for the sample.
 */
latest_sample: string, 
/**
 * Latest day for the panel.
 */
latest_panel: string, 
/**
 * Latest day for the order.
 */
latest_order: string, 
/**
 * Days to spare; below zero, days missing.
 */
slack_days: number, 
/**
 * What can be done where the days do not suffice.
 */
choices: Array<string>, 
/**
 * How it came about.
 */
working: WorkingDto, };

/**
 * A probability, or a bound of one where the reading is only a bound.
 */
export type ChanceView = { 
/**
 * The number, from 0 to 1.
 */
value: number, 
/**
 * `at least`, `at most` or empty.
 */
bound: string, };

/**
 * The chart as a file.
 */
export type ChartRequest = { 
/**
 * The file to write, ending in `.pdf` or `.png`; its values are written beside it as
 * `.values.csv`.
 */
out: string, 
/**
 * Width on paper, mm, of a PDF; 180 when left out.
 */
width_mm?: number, };

/**
 * One thing that was checked.
 */
export type CheckView = { 
/**
 * `depth`, `clear`, `laboratory`, `season`, `cores`.
 */
what: string, 
/**
 * `fits`, `differs` (compared all the same) or `refused`.
 */
outcome: string, 
/**
 * In words.
 */
words: string, };

/**
 * A person's choice.
 */
export type ChooseRequest = { 
/**
 * The record.
 */
id: string, 
/**
 * The field.
 */
field: string, 
/**
 * Which of the values, counted from 0 as the conflict lists them.
 */
claim: number, };

/**
 * One of the values of a field in conflict.
 */
export type ClaimView = { 
/**
 * The value.
 */
value: number | string | boolean, 
/**
 * In words.
 */
text: string, 
/**
 * Who wrote it.
 */
stamp: StampView | null, 
/**
 * Whether it is the one shown until somebody chooses.
 */
shown: boolean, };

/**
 * What kind of problem; shells branch on this, never on the text.
 */
export type Code = "bad-input" | "missing-input" | "not-found" | "ambiguous" | "refused" | "changed-since" | "in-use" | "read-only" | "no-notebook" | "damaged" | "disk-full" | "storage" | "bad-file" | "newer-version" | "cancelled";

/**
 * What to compare.
 */
export type CompareRequest = { 
/**
 * The zone, where no panels are named: its newest panel against the one that the last
 * plan before it was made from; without a plan, against the one before it of the same depth and season.
 */
zone?: string, 
/**
 * The earlier panel.
 */
baseline?: string, 
/**
 * The later panel.
 */
retest?: string, 
/**
 * What the retest is asked about; every analyte that both panels have when left out.
 * Fewer questions, decided on before looking, are answered more surely.
 */
analytes: Array<string>, 
/**
 * Margin by analyte within which a value counts as the same: pH units, or % of the reading.
 */
margins: { [key in string]: number }, 
/**
 * Analyte for whose low or high reading this zone was chosen, if it was.
 */
chosen_for?: string, 
/**
 * Confidence level; 0.9 when left out.
 */
level?: number, };

/**
 * One analyte, before and after.
 */
export type CompareRow = { 
/**
 * Analyte id.
 */
analyte: string, 
/**
 * The analyte's name.
 */
analyte_name: string, 
/**
 * The name of the row: the analyte's, with the method where one analyte was read by several.
 */
name: string, 
/**
 * The method's name; both where they differ.
 */
method_name: string, 
/**
 * The unit of the values.
 */
unit: string, 
/**
 * Decimals worth showing.
 */
decimals: number, 
/**
 * `linear`, `log` or `logit`: the scale on which the change was taken.
 */
scale: string, 
/**
 * The earlier value, with `<` or `>` before it where it is only a bound.
 */
before: number | null, 
/**
 * Its sign.
 */
before_sign: string, 
/**
 * The later value.
 */
after: number | null, 
/**
 * Its sign.
 */
after_sign: string, 
/**
 * 90 % (or as asked) interval of the earlier value.
 */
before_interval: IntervalView | null, 
/**
 * And of the later.
 */
after_interval: IntervalView | null, 
/**
 * The change: in the unit on the linear scale, in % on the others.
 */
change: number | null, 
/**
 * Its unit: the unit of the values, or `%`.
 */
change_unit: string, 
/**
 * Its interval.
 */
change_interval: IntervalView | null, 
/**
 * Probability of a true rise.
 */
rise: number | null, 
/**
 * Probability of a true fall.
 */
fall: number | null, 
/**
 * Two-sided p of no change, corrected for the number of analytes.
 */
p: number | null, 
/**
 * Smallest change that counts as real here, upwards.
 */
least_significant: number | null, 
/**
 * The margin within which it counts as the same.
 */
margin: number | null, 
/**
 * How the retest was brought to the method of the baseline; empty where both were read alike.
 */
conversion: string, 
/**
 * `rise`, `fall`, `same`, `cannot-tell` or `not-compared`.
 */
verdict: string, 
/**
 * The verdict in a sentence.
 */
sentence: string, 
/**
 * What the applications in between should have done.
 */
expected: ExpectedView | null, 
/**
 * How it came about.
 */
working: WorkingDto | null, };

/**
 * Two panels compared.
 */
export type CompareView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * The earlier panel.
 */
baseline: SideView, 
/**
 * The later panel.
 */
retest: SideView, 
/**
 * What was checked before comparing.
 */
checks: Array<CheckView>, 
/**
 * Whether the comparison is refused.
 */
refused: boolean, 
/**
 * Confidence level of the intervals.
 */
level: number, 
/**
 * What changed, analyte by analyte.
 */
rows: Array<CompareRow>, 
/**
 * What was put on in between.
 */
applied: Array<string>, 
/**
 * The verdicts in few sentences: what changed, what stayed, what cannot be told.
 */
summary: Array<string>, 
/**
 * The verdicts in sentences, one for each row.
 */
sentences: Array<string>, 
/**
 * What to mind when reading them.
 */
notes: Array<string>, };

/**
 * Whether the words are the same on both devices.
 */
export type ConfirmRequest = { 
/**
 * They are.
 */
match: boolean, };

/**
 * A field that two devices wrote apart.
 */
export type ConflictView = { 
/**
 * The record.
 */
id: string, 
/**
 * Its kind.
 */
kind: string, 
/**
 * The field's name in requests, or the stored key where no form knows it.
 */
field: string, 
/**
 * The values.
 */
claims: Array<ClaimView>, };

/**
 * Where to look for fields that two devices wrote apart.
 */
export type ConflictsRequest = { 
/**
 * A zone or property by id or name; the notebook's own records when left out.
 */
within?: string, };

/**
 * One core of a sample.
 */
export type CoreView = { 
/**
 * The record.
 */
id: string, 
/**
 * Number in the walk.
 */
number: number | null, 
/**
 * Whether it was set aside.
 */
set_aside: boolean, 
/**
 * Why.
 */
reason: string, 
/**
 * Depth reached, mm.
 */
depth_mm: number | null, 
/**
 * Metres east.
 */
east: number | null, 
/**
 * Metres north.
 */
north: number | null, };

/**
 * A device that holds the notebook, or did.
 */
export type DeviceLine = { 
/**
 * Its key, 64 hexadecimal digits.
 */
id: string, 
/**
 * What it is called.
 */
name: string, 
/**
 * `field`, `office`, `always-on`, or empty while it is not known.
 */
role: string, 
/**
 * It is the one that this is asked on.
 */
is_this: boolean, 
/**
 * It was removed: it keeps what it has and is given nothing more.
 */
removed: boolean, 
/**
 * It is connected now.
 */
connected: boolean, 
/**
 * When it was met last, by this device's clock, as local time `2026-11-27 18:40`.
 */
last_met: string | null, 
/**
 * What waits here for it; none for this one and for those removed.
 */
waiting: WaitingLine | null, 
/**
 * How its program differs, or what is in the way, in words.
 */
remark: string, };

/**
 * The devices that hold the notebook.
 */
export type DevicesView = { 
/**
 * How this device syncs.
 */
own: OwnDevice, 
/**
 * What it keeps of photos and files: `all`, `own-until-office` or `previews`.
 */
keep_rule: string, 
/**
 * This device was removed from the notebook.
 */
removed_here: boolean, 
/**
 * This one first, then the others by name, those removed last.
 */
devices: Array<DeviceLine>, };

/**
 * A difference between two occasions.
 */
export type DifferenceView = { 
/**
 * `index` or `cover`.
 */
quantity: string, 
/**
 * The earlier value.
 */
before: number, 
/**
 * The later value.
 */
after: number, 
/**
 * Photos of the earlier day.
 */
before_photos: number, 
/**
 * Photos of the later day.
 */
after_photos: number, 
/**
 * Later less earlier.
 */
value: number, 
/**
 * Lower end of the 95 % interval.
 */
low: number, 
/**
 * Upper end.
 */
high: number, 
/**
 * Standard uncertainty of the difference.
 */
u: number, 
/**
 * The verdict in words.
 */
sentence: string, };

/**
 * One thing to do.
 */
export type DueView = { 
/**
 * `visit`, `panel`, `post`, `sample`, `clear` or `unfinished`.
 */
what: string, 
/**
 * The day; none where it has none.
 */
date: string | null, 
/**
 * Whether that day has passed.
 */
late: boolean, 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * Its property's name.
 */
property_name: string, 
/**
 * What to do, in one sentence.
 */
sentence: string, 
/**
 * The record it is about; empty where it is about the zone.
 */
record: string, 
/**
 * The visit of a plan it is about; empty otherwise.
 */
item: string, };

/**
 * A change of some fields of a record.
 */
export type EditRecord = { 
/**
 * The record.
 */
id: string, 
/**
 * Fields by name; `null` takes one away.
 */
fields: Record<string, unknown>, };

/**
 * What the applications in between should have done, in the unit of the values.
 */
export type ExpectedView = { 
/**
 * If the least is kept.
 */
low: number, 
/**
 * The middle.
 */
likely: number, 
/**
 * If the most is kept.
 */
high: number, 
/**
 * Share of the dose that the test found again, where a rise was seen: observed over whole.
 */
kept: number | null, 
/**
 * How it came about.
 */
working: WorkingDto, };

/**
 * A photo to give out.
 */
export type ExportPhoto = { 
/**
 * The observation that keeps it.
 */
photo: string, 
/**
 * The file to write; nothing is written over.
 */
out: string, 
/**
 * `original` or `small` (1600 px); `original` when left out.
 */
what?: string, 
/**
 * Leave in where it was taken, and everything else that the camera wrote.
 */
with_location: boolean, };

/**
 * A photo that was given out.
 */
export type ExportedPhoto = { 
/**
 * The file.
 */
file: string, 
/**
 * Its size, bytes.
 */
bytes: number, 
/**
 * The camera had written a position.
 */
had_position: boolean, 
/**
 * It is in the file.
 */
has_position: boolean, };

/**
 * Something the panel says beside single readings.
 */
export type FactView = { 
/**
 * `acidity`, `salinity`, `sodicity`, `dispersion`, `cations`, `calcium-share`, ...
 */
id: string, 
/**
 * What it is.
 */
title: string, 
/**
 * The number.
 */
value: QuantityDto | null, 
/**
 * Its range, where it has one.
 */
range: [number, number] | null, 
/**
 * What it says, in words; empty where it is only a number.
 */
words: string, 
/**
 * How it came about.
 */
working: WorkingDto, };

/**
 * A field as shells draw it.
 */
export type FieldInfo = { 
/**
 * Name in requests.
 */
name: string, 
/**
 * Label.
 */
label: string, 
/**
 * What it is and why it is asked for.
 */
about: string, 
/**
 * `text`, `lines`, `number`, `count`, `money`, `date`, `time`, `choice`, `flag`, `record` or
 * `material`.
 */
type: string, 
/**
 * Unit kept, for numbers.
 */
unit: string, 
/**
 * Least value that can be.
 */
least: number | null, 
/**
 * Greatest value that can be.
 */
most: number | null, 
/**
 * The words to choose from.
 */
choices: Array<string>, 
/**
 * Kind of record referred to.
 */
refers_to: string, 
/**
 * `required`, `later` or `optional`.
 */
need: string, };

/**
 * One field of a record.
 */
export type FieldView = { 
/**
 * Name in requests; the stored key where no form knows it.
 */
name: string, 
/**
 * Label.
 */
label: string, 
/**
 * The value: number, text or flag.
 */
value: number | string | boolean, 
/**
 * The unit of a number.
 */
unit: string, 
/**
 * The value in words, with names in place of ids.
 */
text: string, };

/**
 * The figure's data as a table.
 */
export type FigureTable = { 
/**
 * What it shows.
 */
caption: string, 
/**
 * Column headings.
 */
headings: Array<string>, 
/**
 * Rows of cells.
 */
rows: Array<Array<string>>, };

/**
 * A figure.
 */
export type FigureView = { 
/**
 * The drawing.
 */
svg: string, 
/**
 * Its title.
 */
title: string, 
/**
 * Its description.
 */
description: string, 
/**
 * Its data.
 */
table: FigureTable, 
/**
 * Width in px.
 */
width: number, 
/**
 * Height in px.
 */
height: number, };

/**
 * A record as a person names it.
 */
export type FindRecord = { 
/**
 * Its kind.
 */
kind: string, 
/**
 * Its id, or the name, label or report number that only one of its kind carries.
 */
record: string, 
/**
 * The zone in which to look for a label, by id or name.
 */
within?: string, };

/**
 * Something a check found.
 */
export type FindingView = { 
/**
 * Keys of the readings it is about.
 */
readings: Array<string>, 
/**
 * `note`, `doubtful` or `impossible`.
 */
severity: string, 
/**
 * What was found.
 */
message: string, 
/**
 * Slips that would explain it, the likeliest first.
 */
suggestions: Array<string>, 
/**
 * On whose word.
 */
sources: Array<SourceDto>, };

/**
 * A kind of record as shells draw its form.
 */
export type FormInfo = { 
/**
 * Kind.
 */
kind: string, 
/**
 * What a person calls it.
 */
title: string, 
/**
 * `notebook`, `property` or `zone`.
 */
home: string, 
/**
 * Fields in order.
 */
fields: Array<FieldInfo>, };

/**
 * Growth potential of one week, from temperature alone.
 */
export type GrowthWeek = { 
/**
 * Its first day, a Monday.
 */
first: string, 
/**
 * Days of it with a temperature.
 */
days: number, 
/**
 * Mean air temperature, degrees Celsius.
 */
mean_c: number, 
/**
 * Growth potential, 0 to 1.
 */
potential: number, };

/**
 * A guideline with its limits.
 */
export type GuidelineLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Title.
 */
title: string, 
/**
 * Version.
 */
version: string, 
/**
 * Its source.
 */
source: SourceDto, 
/**
 * What to mind.
 */
cautions: Array<string>, 
/**
 * Its limits.
 */
limits: Array<LimitLine>, };

/**
 * One reading against one guideline.
 */
export type GuidelineVerdict = { 
/**
 * The guideline.
 */
guideline: string, 
/**
 * Its title.
 */
title: string, 
/**
 * Its source.
 */
source: SourceDto, 
/**
 * Short below this, in the unit of the row.
 */
short_below: number, 
/**
 * Enough from this.
 */
enough_from: number, 
/**
 * High above this.
 */
high_above: number | null, 
/**
 * The printed class of the reading; empty where the guideline has none.
 */
class: string, 
/**
 * Probability that the true value is below the lower limit.
 */
below: ChanceView | null, 
/**
 * Probability that it is at or above the limit from which it is enough.
 */
enough: ChanceView | null, 
/**
 * Probability that it is above the upper end.
 */
high: ChanceView | null, 
/**
 * `short`, `marginal`, `enough`, `high` or `cannot-tell`.
 */
verdict: string, 
/**
 * The verdict in words.
 */
words: string, 
/**
 * What would settle it; empty where it is settled.
 */
settle: string, 
/**
 * How it came about.
 */
working: WorkingDto, };

/**
 * Cells that the layout leaves out.
 */
export type IgnoredView = { 
/**
 * Their heading.
 */
heading: string, 
/**
 * How many.
 */
cells: number, };

/**
 * What an import did.
 */
export type ImportOutcome = { 
/**
 * The panels made.
 */
panels: Array<ImportedPanel>, 
/**
 * Labels of samples that were left out on purpose.
 */
skipped: Array<string>, 
/**
 * blake3 hash of the original file, which is kept.
 */
file: string, 
/**
 * What was read and what was not.
 */
preview: PreviewView, };

/**
 * What to import.
 */
export type ImportRequest = { 
/**
 * The laboratory, by id or name; its layout is remembered for the next file.
 */
laboratory?: string, 
/**
 * Answers to the questions of the preview, in the order they were given.
 */
answers: Array<AnswerGiven>, 
/**
 * Where samples go whose label no waiting sample carries.
 */
targets: Array<ImportTarget>, 
/**
 * A zone for every sample that has no other target.
 */
zone?: string, 
/**
 * Path of a CSV, TSV or XLSX file.
 */
path?: string, 
/**
 * Pasted text, two to five columns.
 */
text?: string, };

/**
 * Where the readings of one sample of the file go.
 */
export type ImportTarget = { 
/**
 * The sample in the file: its label, or its number counted from 0 where it has none.
 */
label: string, 
/**
 * The sample of the notebook, by id.
 */
sample?: string, 
/**
 * The zone in which a sample is made from what the file says of it, by id or name.
 */
zone?: string, 
/**
 * Leave these readings out.
 */
skip: boolean, };

/**
 * One panel that was made.
 */
export type ImportedPanel = { 
/**
 * The panel.
 */
panel: string, 
/**
 * Its sample.
 */
sample: string, 
/**
 * Whether the sample was made from the file.
 */
made_sample: boolean, 
/**
 * Its zone.
 */
zone: string, 
/**
 * The label.
 */
label: string, 
/**
 * Readings.
 */
readings: number, };

/**
 * An input as shells list it.
 */
export type InputInfo = { 
/**
 * Name.
 */
name: string, 
/**
 * What it is.
 */
about: string, 
/**
 * `number`, `count`, `numbers`, `word`, `text`, `date`, `flag` or `rows`.
 */
kind: string, 
/**
 * Unit.
 */
unit: string, 
/**
 * Least value taken; absent when there is none.
 */
least: number | null, 
/**
 * Greatest value taken; absent when there is none.
 */
greatest: number | null, 
/**
 * Words to choose from.
 */
words: Array<string>, 
/**
 * Members of each row.
 */
members: Array<InputInfo>, 
/**
 * Whether leaving it out is an error.
 */
required: boolean, 
/**
 * The default; absent when there is none.
 */
default: string | null, 
/**
 * Where the default comes from.
 */
default_source: string | null, };

/**
 * A range.
 */
export type IntervalView = { 
/**
 * Lower end.
 */
low: number, 
/**
 * Upper end.
 */
high: number, };

/**
 * Two panels to draw.
 */
export type IntervalsFigureRequest = { 
/**
 * What is compared.
 */
compare: CompareRequest, 
/**
 * Width in px; 900 when left out.
 */
width?: number, 
/**
 * `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
 * out, for a file that stands alone.
 */
theme?: string, 
/**
 * Short names of January to December, as the page that shows the figure writes them; the
 * notebook's own when left out.
 */
months?: Array<string>, 
/**
 * `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
 */
date_order?: string, 
/**
 * The mark before the decimals; a point when left out.
 */
decimal_mark?: string, };

/**
 * An open invitation.
 */
export type InvitationView = { 
/**
 * To be pasted on the other device.
 */
text: string, 
/**
 * The same to be scanned there.
 */
qr: QrMatrix, 
/**
 * Minutes for which it is good.
 */
minutes: number, 
/**
 * Where this device is reached, as the invitation says it.
 */
addresses: Array<string>, };

/**
 * How long an invitation is good.
 */
export type InviteRequest = { 
/**
 * Minutes, 1 to 1,440; 10 when left out.
 */
minutes?: number, };

/**
 * A person's change of one visit before it is accepted.
 */
export type ItemChange = { 
/**
 * Another dose of the material, g/m2.
 */
dose?: Amount, 
/**
 * Another day.
 */
date?: string, 
/**
 * Leave it out.
 */
skip: boolean, };

/**
 * Accepting an invitation.
 */
export type JoinRequest = { 
/**
 * Its text.
 */
code: string, };

/**
 * What this device keeps of photos and files.
 */
export type KeepRuleRequest = { 
/**
 * `all`; `own-until-office`: small pictures, and what was made here until an office or an
 * always-on device has promised to keep it; `previews`: small pictures, and what was made here
 * until any device has.
 */
rule: string, };

/**
 * One visit of an accepted plan.
 */
export type KeptItem = { 
/**
 * Its key.
 */
key: string, 
/**
 * What it is for.
 */
purpose: string, 
/**
 * Material id.
 */
material: string, 
/**
 * Material's name.
 */
material_name: string, 
/**
 * Dose as accepted, g/m2.
 */
dose_g_m2: number | null, 
/**
 * The day.
 */
date: string | null, 
/**
 * Mass for the zone, kg.
 */
amount_kg: number | null, 
/**
 * Applications that followed it.
 */
applications: Array<string>, 
/**
 * What went on so far, kg.
 */
applied_kg: number, 
/**
 * Planned against applied, in words.
 */
words: string, };

/**
 * A laboratory in the list.
 */
export type LaboratoryLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Name.
 */
name: string, 
/**
 * Days from arrival to the panel.
 */
turnaround_days: number | null, 
/**
 * Days in the post.
 */
post_days: number | null, 
/**
 * Soil it asks for, g.
 */
wanted_mass_g: number | null, 
/**
 * Layouts of its files that are remembered.
 */
layouts: number, };

/**
 * Records that were written on a zone after it was merged.
 */
export type Leftover = { 
/**
 * The zone that went, by id.
 */
zone: string, 
/**
 * The zone that stayed, by id.
 */
into: string, 
/**
 * Its name.
 */
into_name: string, 
/**
 * How many.
 */
records: number, };

/**
 * A unit of length.
 */
export type LengthUnit = { 
/**
 * The unit.
 */
unit: string, 
/**
 * Metres in one of it, exact by definition.
 */
metres: number, };

/**
 * One lime method's answer.
 */
export type LimeAnswerView = { 
/**
 * Method id.
 */
method: string, 
/**
 * Its title.
 */
title: string, 
/**
 * Pure calcium carbonate, g/m2.
 */
need_g_m2: number, 
/**
 * Empty, or the words that must stand beside the value.
 */
caveat: string, 
/**
 * Whether it is the one used.
 */
used: boolean, 
/**
 * How it came about.
 */
working: WorkingDto, };

/**
 * The lime need by every method that has its readings.
 */
export type LimeView = { 
/**
 * The wanted pH.
 */
target_ph: number, 
/**
 * Its scale, in words.
 */
target_scale: string, 
/**
 * Where the target comes from.
 */
target_why: string, 
/**
 * The answers, the one used marked.
 */
answers: Array<LimeAnswerView>, 
/**
 * Methods that have their readings and still do not answer, with the reason.
 */
refused: Array<string>, 
/**
 * Why that one is used.
 */
reason: string, 
/**
 * Least answer, g/m2.
 */
least_g_m2: number | null, 
/**
 * Greatest answer, g/m2.
 */
most_g_m2: number | null, };

/**
 * One limit of a guideline.
 */
export type LimitLine = { 
/**
 * Analyte id.
 */
analyte: string, 
/**
 * Analyte's name.
 */
name: string, 
/**
 * Names of the methods it holds for.
 */
methods: Array<string>, 
/**
 * Unit of the limits.
 */
unit: string, 
/**
 * Short below.
 */
short_below: number, 
/**
 * Enough from.
 */
enough_from: number, 
/**
 * High above.
 */
high_above: number | null, 
/**
 * What ground it is for, in words; empty for any.
 */
only_on: string, };

/**
 * Whose photos to list.
 */
export type ListPhotos = { 
/**
 * The zone, by id or name.
 */
zone: string, };

/**
 * Which records to list.
 */
export type ListRecords = { 
/**
 * Their kind.
 */
kind: string, 
/**
 * The property of zones, or the zone of what happens on one, by id or name.
 */
within?: string, };

/**
 * A material in the list.
 */
export type MaterialLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Generic name.
 */
name: string, 
/**
 * What it is put on for.
 */
kind: string, 
/**
 * How it comes.
 */
form: string, 
/**
 * Whether it is the person's own.
 */
own: boolean, 
/**
 * Analysis in one line.
 */
analysis: string, 
/**
 * Effect on acidity as % of calcium carbonate; below zero it makes acid.
 */
neutralising_value: number | null, 
/**
 * Mass of one pack, kg.
 */
pack_kg: number | null, 
/**
 * Price of one pack.
 */
price: string, };

/**
 * One material, by id or name.
 */
export type MaterialRequest = { 
/**
 * Id or name.
 */
material: string, };

/**
 * A material with everything known of it.
 */
export type MaterialView = { 
/**
 * Its line in the list.
 */
line: MaterialLine, 
/**
 * Formula of the pure compound, where it is one.
 */
formula: string, 
/**
 * The elements of the pure compound, computed.
 */
theory: Array<NutrientLine>, 
/**
 * How they were computed; none for what is no single compound.
 */
theory_working: WorkingDto | null, 
/**
 * The elements as it is sold.
 */
nutrients: Array<NutrientLine>, 
/**
 * Whether it may go on established grass, in words.
 */
on_grass: string, 
/**
 * Most at one visit, in words, with its ground.
 */
limits: Array<string>, 
/**
 * Most in a year, in words; empty where nothing limits it.
 */
per_year: string, 
/**
 * Least days between visits.
 */
interval_days: number, 
/**
 * Fineness in words.
 */
fineness: string, 
/**
 * Salt index on sodium nitrate as 100, in words; sources disagree and stand side by side.
 */
salt_index: Array<string>, 
/**
 * What to mind.
 */
cautions: Array<string>, 
/**
 * Every source of the figures above.
 */
sources: Array<SourceDto>, };

/**
 * A file to measure without keeping anything.
 */
export type MeasureFile = { 
/**
 * Path of a JPEG, PNG or WebP file.
 */
path: string, 
/**
 * `auto` (the chart if it is found, else a grey card, else none), `none`, `grey-card` or
 * `chart`; `auto` when left out.
 */
card?: string, 
/**
 * Corners of the card as marked by hand, clockwise from its own upper left, pixels of the
 * upright photo: of a chart the middles of its four corner squares. Looked for when left out.
 */
corners?: Array<[number, number]>, 
/**
 * Reflectance of the grey card, a ratio; 0.18 when left out.
 */
reflectance?: number, 
/**
 * Keep the photo's exposure: the grey card takes out the cast only, and the photo cannot
 * stand beside one of another exposure.
 */
keep_exposure: boolean, 
/**
 * The chart's values as a table with columns r, g, b, where its patches were measured.
 */
sheet?: string, 
/**
 * Least and greatest hue that counts as green, degrees.
 */
hue?: [number, number], 
/**
 * Least and greatest saturation that counts as green, 0 to 1.
 */
saturation?: [number, number], 
/**
 * A second range of hue whose cover is told beside the first.
 */
second_hue?: [number, number], 
/**
 * Outline of what is measured, pixels of the upright photo; the whole photo when left out.
 */
region?: Array<[number, number]>, 
/**
 * Outlines that are left out, beside the card.
 */
left_out: Array<Array<[number, number]>>, };

/**
 * Which photos to measure; of the whole notebook when neither zone nor property is named.
 */
export type MeasureMany = { 
/**
 * One zone, by id or name.
 */
zone?: string, 
/**
 * Every zone of one property, by id or name.
 */
property?: string, 
/**
 * Those whose standing measurement is of an earlier way, by what was chosen then; otherwise
 * those that were not measured yet, by what is chosen here.
 */
again: boolean, 
/**
 * Words of their measurements.
 */
note: string, 
/**
 * `auto` (the chart if it is found, else a grey card, else none), `none`, `grey-card` or
 * `chart`; `auto` when left out.
 */
card?: string, 
/**
 * Corners of the card as marked by hand, clockwise from its own upper left, pixels of the
 * upright photo: of a chart the middles of its four corner squares. Looked for when left out.
 */
corners?: Array<[number, number]>, 
/**
 * Reflectance of the grey card, a ratio; 0.18 when left out.
 */
reflectance?: number, 
/**
 * Keep the photo's exposure: the grey card takes out the cast only, and the photo cannot
 * stand beside one of another exposure.
 */
keep_exposure: boolean, 
/**
 * The chart's values as a table with columns r, g, b, where its patches were measured.
 */
sheet?: string, 
/**
 * Least and greatest hue that counts as green, degrees.
 */
hue?: [number, number], 
/**
 * Least and greatest saturation that counts as green, 0 to 1.
 */
saturation?: [number, number], 
/**
 * A second range of hue whose cover is told beside the first.
 */
second_hue?: [number, number], 
/**
 * Outline of what is measured, pixels of the upright photo; the whole photo when left out.
 */
region?: Array<[number, number]>, 
/**
 * Outlines that are left out, beside the card.
 */
left_out: Array<Array<[number, number]>>, };

/**
 * A kept photo to measure.
 */
export type MeasurePhoto = { 
/**
 * The observation that keeps it.
 */
photo: string, 
/**
 * Words.
 */
note: string, 
/**
 * `auto` (the chart if it is found, else a grey card, else none), `none`, `grey-card` or
 * `chart`; `auto` when left out.
 */
card?: string, 
/**
 * Corners of the card as marked by hand, clockwise from its own upper left, pixels of the
 * upright photo: of a chart the middles of its four corner squares. Looked for when left out.
 */
corners?: Array<[number, number]>, 
/**
 * Reflectance of the grey card, a ratio; 0.18 when left out.
 */
reflectance?: number, 
/**
 * Keep the photo's exposure: the grey card takes out the cast only, and the photo cannot
 * stand beside one of another exposure.
 */
keep_exposure: boolean, 
/**
 * The chart's values as a table with columns r, g, b, where its patches were measured.
 */
sheet?: string, 
/**
 * Least and greatest hue that counts as green, degrees.
 */
hue?: [number, number], 
/**
 * Least and greatest saturation that counts as green, 0 to 1.
 */
saturation?: [number, number], 
/**
 * A second range of hue whose cover is told beside the first.
 */
second_hue?: [number, number], 
/**
 * Outline of what is measured, pixels of the upright photo; the whole photo when left out.
 */
region?: Array<[number, number]>, 
/**
 * Outlines that are left out, beside the card.
 */
left_out: Array<Array<[number, number]>>, };

/**
 * What became of the photos.
 */
export type MeasuredMany = { 
/**
 * Measured; newest day first in each zone.
 */
photos: Array<PhotoMeasured>, 
/**
 * Not measured, each with the reason.
 */
without: Array<NotMeasured>, 
/**
 * It was stopped: so many photos are left as they were.
 */
left: number, };

/**
 * A measured value with its interval.
 */
export type MeasuredValue = { 
/**
 * The value.
 */
value: number, 
/**
 * Its standard uncertainty in this frame: card and fine detail. None without a card.
 */
u: number | null, 
/**
 * Lower end of the 95 % interval in this frame.
 */
low: number | null, 
/**
 * Upper end.
 */
high: number | null, 
/**
 * Standard uncertainty as a value for the turf around the frame.
 */
turf_u: number | null, };

/**
 * A measurement.
 */
export type MeasurementView = { 
/**
 * The record; empty where nothing was kept.
 */
id: string, 
/**
 * The observation that keeps the photo; empty for a file.
 */
photo: string, 
/**
 * blake3 hash of the original.
 */
original: string, 
/**
 * Day of the measurement.
 */
date: string, 
/**
 * Name of the way of measuring.
 */
algorithm: string, 
/**
 * `none`, `grey-card` or `chart`.
 */
card: string, 
/**
 * The program found the card.
 */
corners_found: boolean, 
/**
 * The card's corners, pixels of the upright photo.
 */
corners: Array<[number, number]>, 
/**
 * Reflectance that a grey card is brought to.
 */
reflectance: number | null, 
/**
 * What was tried and not found, where the card was looked for.
 */
tried: Array<string>, 
/**
 * Settings moved away from the published ones.
 */
changed: Array<string>, 
/**
 * Hue that counts as green, degrees.
 */
hue_range: [number, number], 
/**
 * Saturation that counts as green.
 */
saturation_range: [number, number], 
/**
 * Outline of what was measured.
 */
region: Array<[number, number]>, 
/**
 * Columns of the upright photo.
 */
width: number, 
/**
 * Rows.
 */
height: number, 
/**
 * Pixels measured.
 */
pixels: number, 
/**
 * Green share, a ratio.
 */
cover: MeasuredValue, 
/**
 * The same by a second, wider range of hue: how much the border matters.
 */
second_cover: number, 
/**
 * Dark green colour index; none when too little is green.
 */
index: MeasuredValue | null, 
/**
 * Standard deviation of the index between pixels.
 */
index_spread: number | null, 
/**
 * Hue, degrees.
 */
hue: MeasuredValue | null, 
/**
 * Saturation.
 */
saturation: MeasuredValue | null, 
/**
 * Brightness.
 */
brightness: MeasuredValue | null, 
/**
 * CIELAB lightness, red to green, yellow to blue.
 */
lab: Array<MeasuredValue>, 
/**
 * Residual of the chart's patches, linear light.
 */
chart_residual: number | null, 
/**
 * Measures of the photo.
 */
quality: Array<QualityLine>, 
/**
 * A card corrected its colours.
 */
is_corrected: boolean, 
/**
 * It may speak in a comparison.
 */
is_evidence: boolean, 
/**
 * Why not, in words.
 */
why_not: Array<string>, 
/**
 * Name of a picture of the mask, to be asked for as `ORIGINAL/NAME`; empty: none was made.
 */
mask: string, 
/**
 * Words.
 */
note: string, 
/**
 * How the index and the cover come about.
 */
working: WorkingDto, };

/**
 * What was merged.
 */
export type MergeView = { 
/**
 * The zone that stays.
 */
zone: ZoneLine, 
/**
 * Records that it took over.
 */
records: number, };

/**
 * Which zones to merge.
 */
export type MergeZones = { 
/**
 * The one that goes, by id or name; or the id of one that went before, to take over what
 * another device still wrote there.
 */
zone: string, 
/**
 * The one that stays.
 */
into: string, };

/**
 * A method of an analyte.
 */
export type MethodLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Name.
 */
name: string, 
/**
 * Unit that readings by it are kept and compared in.
 */
unit: string, };

/**
 * A value with its name.
 */
export type NamedValue = { 
/**
 * Name.
 */
name: string, 
/**
 * Value.
 */
value: ResultValue, };

/**
 * Need of one nutrient.
 */
export type NeedView = { 
/**
 * Purpose: `k`, `p`, `mg`, `s` or `ca`.
 */
purpose: string, 
/**
 * The nutrient's name.
 */
name: string, 
/**
 * Verdict of the guideline, in words.
 */
verdict: string, 
/**
 * The guideline's title.
 */
guideline: string, 
/**
 * Its source.
 */
source: SourceDto, 
/**
 * The need as the element, g/m2.
 */
need_g_m2: number, 
/**
 * If the reading is as high as it may well be.
 */
low_g_m2: number, 
/**
 * If it is as low as it may well be.
 */
high_g_m2: number, 
/**
 * What other materials of the plan bring of it, g/m2.
 */
supplied_g_m2: number, 
/**
 * What the test should rise by, mg/kg, if the need is met: least, likely, most.
 */
expected_mg_kg: [number, number, number] | null, 
/**
 * How the need came about.
 */
working: WorkingDto, 
/**
 * How the expected rise came about.
 */
expected_working: WorkingDto | null, };

/**
 * Another zone of the property, to draw beside.
 */
export type Neighbour = { 
/**
 * Its name.
 */
name: string, 
/**
 * Its outer line.
 */
corners: Array<PlanSpot>, };

/**
 * A guideline that was not applied.
 */
export type NotAppliedView = { 
/**
 * Its title.
 */
title: string, 
/**
 * Why not.
 */
because: string, };

/**
 * A photo that could not be measured; what stood stands.
 */
export type NotMeasured = { 
/**
 * The observation that keeps it.
 */
photo: string, 
/**
 * The file's name.
 */
name: string, 
/**
 * Its day; empty while not known.
 */
date: string, 
/**
 * Its zone's name.
 */
zone_name: string, 
/**
 * Why.
 */
why: string, };

/**
 * How the notebook stands.
 */
export type NotebookStatus = { 
/**
 * Its folder.
 */
folder: string, 
/**
 * Whether it is open for writing here.
 */
writable: boolean, 
/**
 * This device's mark in the history.
 */
device: string, 
/**
 * Properties.
 */
properties: number, 
/**
 * Zones.
 */
zones: number, 
/**
 * Photos and files kept.
 */
files: number, 
/**
 * Their size, MB.
 */
files_mb: number, 
/**
 * What was found damaged when it was opened.
 */
damaged: Array<string>, 
/**
 * The day here.
 */
today: string, };

/**
 * A request without parameters.
 */
export type Nothing = Record<symbol, never>;

/**
 * One element that a material brings.
 */
export type NutrientLine = { 
/**
 * Element.
 */
symbol: string, 
/**
 * % of the mass that is the element.
 */
percent: number, 
/**
 * As printed, such as `P2O5 46 %`.
 */
printed: string, 
/**
 * Remark.
 */
note: string, 
/**
 * On whose word.
 */
sources: Array<SourceDto>, };

/**
 * Ratings of one rater, or readings of one instrument, on one ground.
 */
export type ObservedLine = { 
/**
 * `rating` or `spot`.
 */
sort: string, 
/**
 * Who rated; empty for a reading.
 */
rater: string, 
/**
 * What it was read with; empty for a rating.
 */
instrument: string, 
/**
 * The strip; empty: the whole zone.
 */
strip: string, 
/**
 * Unit of the readings.
 */
unit: string, 
/**
 * In the order of days.
 */
points: Array<ObservedPoint>, 
/**
 * The last less the first; none with one only, or where nobody said who rated.
 */
change: number | null, 
/**
 * What that can tell, in words.
 */
sentence: string, };

/**
 * One rating or reading.
 */
export type ObservedPoint = { 
/**
 * The observation.
 */
id: string, 
/**
 * Its day.
 */
date: string, 
/**
 * The value.
 */
value: number, 
/**
 * The instrument's last calibration; empty: not said.
 */
calibrated: string, };

/**
 * Which ratings or readings.
 */
export type ObservedRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Trait rated, or quantity read: `colour`, `quality`, `density`, `moisture`, `ph-probe`.
 */
what: string, };

/**
 * Ratings or readings of a zone.
 */
export type ObservedView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * What was rated or read.
 */
what: string, 
/**
 * Each rater and each instrument by itself.
 */
lines: Array<ObservedLine>, 
/**
 * What is not compared, and what to mind.
 */
notes: Array<string>, };

/**
 * One day's value.
 */
export type OccasionView = { 
/**
 * The day.
 */
date: string, 
/**
 * The photos.
 */
photos: Array<string>, 
/**
 * Their mean, or the one photo's value.
 */
value: number, 
/**
 * Lower end of its 95 % interval; none where it is no evidence.
 */
low: number | null, 
/**
 * Upper end.
 */
high: number | null, 
/**
 * It may speak in a comparison.
 */
is_evidence: boolean, 
/**
 * Why not, in words.
 */
why_not: Array<string>, };

/**
 * Which zone's shape to look at.
 */
export type OutlineRequest = { 
/**
 * Id, name, or `property / zone`.
 */
zone: string, 
/**
 * Corners as they are drawn, in the order one walks them; what the record says when left out.
 */
corners?: Array<PlanSpot>, };

/**
 * A zone's shape as it is drawn.
 */
export type OutlineView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
name: string, 
/**
 * The corners, in metres on the plan.
 */
corners: Array<PlanSpot>, 
/**
 * Metres from each corner to the next; the last leads back to the first where there are three
 * corners or more.
 */
sides: Array<number>, 
/**
 * Area, m2, beds taken off; none while it is no shape.
 */
area_m2: number | null, 
/**
 * Why it is no shape yet, and what to do; empty where it is one.
 */
problem: string, 
/**
 * The outline as the zone's record keeps it; empty while it is no shape.
 */
outline: string, 
/**
 * Lines cut out of it, which drawing leaves as they are.
 */
holes: Array<Array<PlanSpot>>, 
/**
 * The zone's area as it was measured, m2, which counts before the shape's.
 */
measured_m2: number | null, 
/**
 * Other zones of the property that have a shape; only where no corners were given.
 */
others: Array<Neighbour>, };

/**
 * An output as shells list it.
 */
export type OutputInfo = { 
/**
 * Name.
 */
name: string, 
/**
 * Unit.
 */
unit: string, 
/**
 * What it is.
 */
about: string, };

/**
 * How this device syncs.
 */
export type OwnDevice = { 
/**
 * What it is called on other devices.
 */
name: string, 
/**
 * What it is for: `field`, `office` or `always-on`.
 */
role: string, 
/**
 * Look for paired devices on the local network, and let them find this one.
 */
discovery: boolean, 
/**
 * The address of a relay of one's own; none is used while it is empty.
 */
relay: string, 
/**
 * Nothing is exchanged for now.
 */
paused: boolean, 
/**
 * Entries are exchanged and files are not, for a connection that is paid by the byte.
 */
holds_files: boolean, 
/**
 * It keeps the notebook for the others and writes no records itself.
 */
only_keeps: boolean, };

/**
 * What to change of it; what is left out stays.
 */
export type OwnDeviceEdit = { 
/**
 * Look for devices on the local network.
 */
discovery?: boolean, 
/**
 * A relay's address, such as `https://relay.example`; empty for none.
 */
relay?: string, 
/**
 * Hold files back.
 */
holds_files?: boolean, 
/**
 * Keep the notebook and write no records.
 */
only_keeps?: boolean, };

/**
 * For what to buy.
 */
export type PacksRequest = { 
/**
 * The zone.
 */
zone?: string, 
/**
 * The property, for all its zones; everything when neither is named.
 */
property?: string, 
/**
 * The last day of the visits that are bought for; all open ones when left out.
 */
until?: string, };

/**
 * What to buy.
 */
export type PacksView = { 
/**
 * Names of the zones with open visits.
 */
zones: Array<string>, 
/**
 * Open visits that are bought for.
 */
visits: number, 
/**
 * Material by material.
 */
purchases: Array<PurchaseView>, 
/**
 * What they cost together, in words; empty while no price is recorded.
 */
cost: string, };

/**
 * Which two photos.
 */
export type PairRequest = { 
/**
 * The earlier photo's observation.
 */
before: string, 
/**
 * The later photo's.
 */
after: string, };

/**
 * One of the two.
 */
export type PairSide = { 
/**
 * The observation.
 */
photo: string, 
/**
 * Its day.
 */
date: string, 
/**
 * The file's name.
 */
name: string, 
/**
 * Address of the corrected picture, after `stored://localhost/`.
 */
picture: string, 
/**
 * Dark green colour index of this photo.
 */
index: number | null, 
/**
 * Green cover of this photo, a ratio.
 */
cover: number | null, 
/**
 * Why it is no evidence; empty when it is.
 */
why_not: Array<string>, };

/**
 * Two photos side by side.
 */
export type PairView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * The earlier photo.
 */
before: PairSide, 
/**
 * The later photo.
 */
after: PairSide, 
/**
 * Columns of both pictures.
 */
width: number, 
/**
 * Rows of both.
 */
height: number, 
/**
 * Whether one centimetre of ground is as large in both.
 */
is_same_scale: boolean, 
/**
 * Differences of index and cover with their intervals; empty where they may not be compared.
 */
differences: Array<DifferenceView>, 
/**
 * Why they may not be compared; empty when they may.
 */
refused: Array<string>, 
/**
 * What to mind.
 */
notes: Array<string>, };

/**
 * How far a pairing is.
 */
export type PairingView = { 
/**
 * `none`, `inviting`, `compare`, `waiting` for the other person, `done` or `failed`.
 */
state: string, 
/**
 * The other device's name, once it is known.
 */
name: string, 
/**
 * What it is for.
 */
role: string, 
/**
 * The words that both devices must show, to be compared by people.
 */
words: Array<string>, 
/**
 * Why it failed.
 */
reason: string, };

/**
 * One panel.
 */
export type PanelRef = { 
/**
 * Its id.
 */
panel: string, };

/**
 * A panel with its readings and checks.
 */
export type PanelView = { 
/**
 * Its record.
 */
record: RecordView, 
/**
 * The zone's name.
 */
zone_name: string, 
/**
 * The sample's label.
 */
sample_label: string, 
/**
 * The day the cores were pulled.
 */
sampled: string | null, 
/**
 * Upper end of the layer, mm.
 */
from_mm: number | null, 
/**
 * Lower end of the layer, mm.
 */
to_mm: number | null, 
/**
 * The laboratory's name.
 */
laboratory_name: string, 
/**
 * The readings.
 */
readings: Array<ReadingView>, 
/**
 * What the checks found.
 */
findings: Array<FindingView>, 
/**
 * blake3 hash of the original file; empty for a typed panel.
 */
file: string, 
/**
 * The original file's name.
 */
file_name: string, };

/**
 * What the parts of a step are.
 */
export type Part = "rows" | "readings" | "journals" | "records" | "photos" | "whole";

/**
 * A photo in a list.
 */
export type PhotoLine = { 
/**
 * The observation.
 */
id: string, 
/**
 * Its day; empty while not known.
 */
date: string, 
/**
 * Time of day, `hour:minute`; empty: not written.
 */
time: string, 
/**
 * The file's name.
 */
name: string, 
/**
 * The strip it shows; empty: the whole zone.
 */
strip: string, 
/**
 * Words.
 */
note: string, 
/**
 * blake3 hash of the original.
 */
original: string, 
/**
 * Address of its picture for a list, after `stored://localhost/`; empty: there is none.
 */
picture: string, 
/**
 * It was measured.
 */
is_measured: boolean, 
/**
 * An earlier way of measuring measured it: it stands on a line of its own until it is measured
 * again.
 */
is_earlier: boolean, 
/**
 * `none`, `grey-card`, `chart`; empty while not measured.
 */
card: string, 
/**
 * Dark green colour index.
 */
index: number | null, 
/**
 * Green cover, a ratio.
 */
cover: number | null, 
/**
 * It may speak in a comparison.
 */
is_evidence: boolean, 
/**
 * Why not, in words.
 */
why_not: Array<string>, };

/**
 * A photo that was measured.
 */
export type PhotoMeasured = { 
/**
 * The observation that keeps it.
 */
photo: string, 
/**
 * The file's name.
 */
name: string, 
/**
 * Its day; empty while not known.
 */
date: string, 
/**
 * Its zone's name.
 */
zone_name: string, 
/**
 * The new measurement.
 */
measurement: string, 
/**
 * What the earlier one says; none where there was none.
 */
then: Says | null, 
/**
 * What the new one says.
 */
now: Says, };

/**
 * One photo by its observation.
 */
export type PhotoRef = { 
/**
 * The observation that keeps it.
 */
photo: string, };

/**
 * One photo to keep.
 */
export type PhotoToAdd = { 
/**
 * Path of a JPEG, PNG or WebP file.
 */
path: string, 
/**
 * The zone, by id or name.
 */
zone: string, 
/**
 * The day; the camera's when left out, else today.
 */
date?: string, 
/**
 * The strip it shows; empty: the whole zone.
 */
strip: string, 
/**
 * Words.
 */
note: string, };

/**
 * One photo.
 */
export type PhotoView = { 
/**
 * As in the list.
 */
line: PhotoLine, 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * Address of its large picture, after `stored://localhost/`; empty while the original is not
 * here.
 */
picture: string, 
/**
 * Columns of the upright photo; 0 while the original is not here.
 */
width: number, 
/**
 * Rows.
 */
height: number, 
/**
 * What the camera said of its colours.
 */
profile: string, 
/**
 * Exposure in words: time, aperture, sensitivity, flash.
 */
exposure: string, 
/**
 * The camera wrote a position; it is left out of anything exported unless asked for.
 */
has_position: boolean, 
/**
 * Its measurements, the one that counts first.
 */
measurements: Array<MeasurementView>, 
/**
 * Why the original cannot be read here; empty where it can.
 */
problem: string, };

/**
 * What became of the photos.
 */
export type PhotosAdded = { 
/**
 * The observations.
 */
added: Array<RecordView>, 
/**
 * What was left, with the reason; the others were kept.
 */
skipped: Array<SkippedPhoto>, 
/**
 * It was stopped: photos in neither list were not looked at.
 */
stopped: boolean, };

/**
 * Which photos to draw.
 */
export type PhotosFigureRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * `index` or `cover`; `index` when left out.
 */
quantity?: string, 
/**
 * First day; that of the first photo when left out.
 */
from?: string, 
/**
 * Last day; today when left out.
 */
until?: string, 
/**
 * Width in px; 900 when left out.
 */
width?: number, 
/**
 * `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
 * out, for a file that stands alone.
 */
theme?: string, 
/**
 * Short names of January to December, as the page that shows the figure writes them; the
 * notebook's own when left out.
 */
months?: Array<string>, 
/**
 * `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
 */
date_order?: string, 
/**
 * The mark before the decimals; a point when left out.
 */
decimal_mark?: string, };

/**
 * What was made anew.
 */
export type PicturesMade = { 
/**
 * Photos looked at.
 */
photos: number, 
/**
 * Photos whose small pictures were missing and are there now.
 */
made: number, 
/**
 * Photos whose original is not here, or cannot be read, with the reason.
 */
without: Array<string>, };

/**
 * The small pictures of one zone's photos.
 */
export type PicturesRequest = { 
/**
 * The zone.
 */
zone: string, };

/**
 * What two devices did apart in one place.
 */
export type PlaceApart = { 
/**
 * The zone or property by id; empty for the notebook's own records.
 */
within: string, 
/**
 * What it is called.
 */
name: string, 
/**
 * Fields that hold more than one value.
 */
conflicts: Array<ConflictView>, 
/**
 * Records that another device still wrote on a zone after it was merged into this one.
 */
left_behind: Array<Leftover>, };

/**
 * A plan worked out.
 */
export type PlanDraft = { 
/**
 * The panel.
 */
panel: string, 
/**
 * The zone.
 */
zone: string, 
/**
 * The zone's name.
 */
zone_name: string, 
/**
 * The zone's area, m2.
 */
area_m2: number | null, 
/**
 * First day work can start.
 */
start: string, 
/**
 * What was assumed, each with where it comes from.
 */
assumed: Array<string>, 
/**
 * The calcium source and the lime need; none where the pH was not read.
 */
calcium: CalciumView | null, 
/**
 * Why there is no calcium source; empty where there is one.
 */
calcium_refused: string, 
/**
 * Needs of nutrients.
 */
needs: Array<NeedView>, 
/**
 * What goes down, visit by visit.
 */
visits: Array<VisitView>, 
/**
 * What to buy.
 */
purchases: Array<PurchaseView>, 
/**
 * Sum of the costs that are known, in words; empty where none is.
 */
cost: string, 
/**
 * What was left out and why, and what to mind.
 */
notes: Array<string>, };

/**
 * What to draw.
 */
export type PlanFigureRequest = { 
/**
 * A property: all its zones.
 */
property?: string, 
/**
 * A zone by itself.
 */
zone?: string, 
/**
 * A sample: its zone with its cores.
 */
sample?: string, 
/**
 * Width in px; 900 when left out.
 */
width?: number, 
/**
 * `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
 * out, for a file that stands alone.
 */
theme?: string, 
/**
 * Short names of January to December, as the page that shows the figure writes them; the
 * notebook's own when left out.
 */
months?: Array<string>, 
/**
 * `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
 */
date_order?: string, 
/**
 * The mark before the decimals; a point when left out.
 */
decimal_mark?: string, };

/**
 * One plan.
 */
export type PlanRef = { 
/**
 * Its id.
 */
plan: string, };

/**
 * What a plan is asked for.
 */
export type PlanRequest = { 
/**
 * The panel.
 */
panel: string, 
/**
 * Guideline whose limits are kept; the first confirmed one of each reading when left out.
 */
guideline?: string, 
/**
 * Wanted pH; the middle of the published range when left out.
 */
target_ph?: number, 
/**
 * Scale of the wanted pH: `water` or `cacl2`; `water` when left out.
 */
target_scale?: string, 
/**
 * Lime method by id; the first confirmed one that has its readings when left out.
 */
lime_method?: string, 
/**
 * Calcium source by id, where the readings leave a choice or a person knows better.
 */
calcium_source?: string, 
/**
 * Nitrogen of the season as the element, g/m2, from which the season's use follows.
 */
season_nitrogen?: Amount, 
/**
 * First day work can start; the renovation day, or today, when left out.
 */
start?: string, 
/**
 * Material by purpose, where it is not the usual one: `{ "k": "muriate-of-potash" }`.
 */
materials: { [key in string]: string }, 
/**
 * Purposes to leave out.
 */
skip: Array<string>, };

/**
 * A place on the plan, in metres.
 */
export type PlanSpot = { 
/**
 * To the east.
 */
east: number, 
/**
 * To the north.
 */
north: number, };

/**
 * An accepted plan.
 */
export type PlanView = { 
/**
 * Its record.
 */
record: RecordView, 
/**
 * The zone's name.
 */
zone_name: string, 
/**
 * Its visits.
 */
items: Array<KeptItem>, 
/**
 * What to buy for what is still to do.
 */
purchases: Array<PurchaseView>, 
/**
 * What that costs, in words.
 */
cost: string, };

/**
 * One place for a core.
 */
export type PointView = { 
/**
 * Number in the walk, from 1.
 */
number: number, 
/**
 * Metres east in the zone's own frame.
 */
east: number, 
/**
 * Metres north.
 */
north: number, 
/**
 * Where to core instead, metres east.
 */
spare_east: number, 
/**
 * Metres north.
 */
spare_north: number, 
/**
 * Latitude, where the outline is by positions.
 */
latitude: number | null, 
/**
 * Longitude.
 */
longitude: number | null, };

/**
 * One reading as it stands in the file.
 */
export type PreviewReading = { 
/**
 * Analyte id.
 */
analyte: string, 
/**
 * Analyte's name.
 */
name: string, 
/**
 * Method id.
 */
method: string, 
/**
 * Method's name.
 */
method_name: string, 
/**
 * The compound the number is of; empty when it is the element itself.
 */
form: string, 
/**
 * `<`, `>` or empty.
 */
qualifier: string, 
/**
 * The number.
 */
value: number, 
/**
 * The unit it was reported in.
 */
unit: string, 
/**
 * The laboratory's mark.
 */
mark: string, 
/**
 * The cell.
 */
cell: string, };

/**
 * What to look at.
 */
export type PreviewRequest = { 
/**
 * Whose file it is, by id or name; its remembered layouts are tried first.
 */
laboratory?: string, 
/**
 * Answers to questions of an earlier preview, in the order they were given.
 */
answers: Array<AnswerGiven>, 
/**
 * Path of a CSV, TSV or XLSX file.
 */
path?: string, 
/**
 * Pasted text, two to five columns.
 */
text?: string, };

/**
 * One sample of the file.
 */
export type PreviewSample = { 
/**
 * The label on the bag; empty when the file gives none.
 */
label: string, 
/**
 * The laboratory's own number.
 */
number: string, 
/**
 * The property the file names.
 */
property: string, 
/**
 * The zone the file names.
 */
zone: string, 
/**
 * The day the cores were pulled.
 */
sampled: string | null, 
/**
 * The day it was reported.
 */
reported: string | null, 
/**
 * Upper end of the layer, mm.
 */
from_mm: number | null, 
/**
 * Lower end of the layer, mm.
 */
to_mm: number | null, 
/**
 * Comments.
 */
remarks: string, 
/**
 * The readings.
 */
readings: Array<PreviewReading>, 
/**
 * The sample of the notebook that carries this label and waits for a panel.
 */
matches: string | null, };

/**
 * What a file would bring in.
 */
export type PreviewView = { 
/**
 * The file's name.
 */
file: string, 
/**
 * How its cells are stored, in words.
 */
form: string, 
/**
 * The laboratory whose remembered layout is used; empty for a layout found anew.
 */
laboratory: string, 
/**
 * The samples.
 */
samples: Array<PreviewSample>, 
/**
 * Every filled cell that is not read.
 */
unread: Array<UnreadView>, 
/**
 * What the layout leaves out.
 */
ignored: Array<IgnoredView>, 
/**
 * What only a person can decide.
 */
questions: Array<QuestionView>, 
/**
 * Filled cells.
 */
cells: number, 
/**
 * Cells read as readings.
 */
reading_cells: number, };

/**
 * A refusal that reaches the person.
 */
export type Problem = { 
/**
 * What kind.
 */
code: Code, 
/**
 * What is wrong and what to do about it, in full sentences.
 */
message: string, 
/**
 * The field that stands in the way, by its name in the request.
 */
field: string | null, };

/**
 * How far long work has come.
 */
export type Progress = { 
/**
 * What it is at.
 */
step: Step, 
/**
 * What is counted.
 */
part: Part, 
/**
 * Parts of this step that are done.
 */
done: number, 
/**
 * Parts of this step.
 */
all: number, 
/**
 * Seconds until the step is done, once it goes steadily; none before.
 */
seconds_left: number | null, 
/**
 * Whether it still can be stopped.
 */
can_stop: boolean, };

/**
 * A property in the list.
 */
export type PropertyLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Name.
 */
name: string, 
/**
 * Client.
 */
client: string, 
/**
 * Whose ground: `own`, `home`, `commercial`, or empty.
 */
ground: string, 
/**
 * Where it is.
 */
place: string, 
/**
 * Next renovation day.
 */
renovation_day: string | null, 
/**
 * Zones.
 */
zones: number, 
/**
 * Sum of the zones' areas that are known, m2.
 */
area_m2: number, };

/**
 * One property, by id or name.
 */
export type PropertyRequest = { 
/**
 * Id or name.
 */
property: string, };

/**
 * A property with its zones.
 */
export type PropertyView = { 
/**
 * Its record.
 */
record: RecordView, 
/**
 * Its line in the list.
 */
line: PropertyLine, 
/**
 * Its zones.
 */
zones: Array<ZoneLine>, };

/**
 * What to buy of one material.
 */
export type PurchaseView = { 
/**
 * Material id.
 */
material: string, 
/**
 * Material's name.
 */
material_name: string, 
/**
 * Mass needed, kg.
 */
needed_kg: number, 
/**
 * Mass of one pack, kg; none while no price is recorded.
 */
pack_kg: number | null, 
/**
 * Packs.
 */
packs: number | null, 
/**
 * What is left over, kg.
 */
left_kg: number | null, 
/**
 * Cost, in words; empty while no price is recorded.
 */
cost: string, 
/**
 * How it came about.
 */
working: WorkingDto | null, };

/**
 * A square code: rows of modules, each `1` for dark and `0` for light, without the quiet border of
 * four modules that it needs around it.
 */
export type QrMatrix = { 
/**
 * Modules along one side.
 */
size: number, 
/**
 * One text a row.
 */
rows: Array<string>, };

/**
 * A picture in which a code may be.
 */
export type QrPicture = { 
/**
 * The picture's file.
 */
path: string, };

/**
 * What a code says.
 */
export type QrText = { 
/**
 * The text.
 */
text: string, };

/**
 * One measure of a photo with its limit.
 */
export type QualityLine = { 
/**
 * `clipped`, `underexposed`, `blurred`, `shaded`, `glare` or `beyond-gamut`.
 */
fault: string, 
/**
 * The measure.
 */
value: number, 
/**
 * The limit.
 */
limit: number, 
/**
 * Whether it must be above the limit (below otherwise).
 */
above_is_good: boolean, 
/**
 * Whether the limit is kept.
 */
is_good: boolean, 
/**
 * What is wrong and what to do, when it is not kept.
 */
words: string, };

/**
 * A number with its unit.
 */
export type QuantityDto = { 
/**
 * The number.
 */
value: number, 
/**
 * The unit's symbol; empty for a plain number.
 */
unit: string, };

/**
 * Something only a person can decide.
 */
export type QuestionView = { 
/**
 * Id, for the answer.
 */
id: string, 
/**
 * The cell that raises it.
 */
cell: string, 
/**
 * What is written there.
 */
written: string, 
/**
 * What is asked.
 */
asked: string, 
/**
 * The answers that make sense.
 */
choices: Array<string>, };

/**
 * One reading of a panel.
 */
export type ReadingView = { 
/**
 * Its short name in the panel.
 */
key: string, 
/**
 * Analyte id.
 */
analyte: string, 
/**
 * Analyte's name.
 */
name: string, 
/**
 * Analyte's symbol.
 */
symbol: string, 
/**
 * Method id.
 */
method: string, 
/**
 * Method's name.
 */
method_name: string, 
/**
 * The compound the number is of; empty when it is the element itself.
 */
form: string, 
/**
 * `<`, `>` or empty.
 */
qualifier: string, 
/**
 * The number as reported.
 */
value: number | null, 
/**
 * The unit as reported.
 */
unit: string, 
/**
 * The number in the unit the analyte is kept in; none where it cannot be brought there.
 */
kept_value: number | null, 
/**
 * That unit.
 */
kept_unit: string, 
/**
 * Decimals worth showing in that unit.
 */
decimals: number, 
/**
 * Marks and footnotes.
 */
note: string, 
/**
 * Why this version cannot use it; empty when it can.
 */
unusable: string, };

/**
 * One record.
 */
export type RecordRef = { 
/**
 * Its id.
 */
id: string, };

/**
 * A record.
 */
export type RecordView = { 
/**
 * Id.
 */
id: string, 
/**
 * Kind.
 */
kind: string, 
/**
 * What a person calls the kind.
 */
title: string, 
/**
 * Property it belongs to, by id; empty for the notebook's own.
 */
property: string, 
/**
 * Zone it belongs to, by id; empty where it is no zone's.
 */
zone: string, 
/**
 * Fields that are filled in.
 */
fields: Array<FieldView>, 
/**
 * Labels of what is still to fill in.
 */
missing: Array<string>, 
/**
 * Names of fields that two devices wrote apart.
 */
conflicting: Array<string>, 
/**
 * Why it was taken away; none while it stands.
 */
voided: string | null, 
/**
 * Who made it.
 */
made: StampView | null, };

/**
 * A measurement done again.
 */
export type RedoView = { 
/**
 * The photo.
 */
photo: string, 
/**
 * The measurement that was done again.
 */
measurement: string, 
/**
 * Way of measuring then.
 */
algorithm_then: string, 
/**
 * Way of measuring now.
 */
algorithm_now: string, 
/**
 * The same numbers came out.
 */
is_same: boolean, 
/**
 * How many numbers were compared.
 */
compared: number, 
/**
 * What differs, in words.
 */
differences: Array<string>, };

/**
 * Removing a device.
 */
export type RemoveDevice = { 
/**
 * Name, key, or beginning of the key.
 */
device: string, 
/**
 * Why.
 */
why: string, };

/**
 * A new name or role for a device.
 */
export type RenameDevice = { 
/**
 * Name, key, or beginning of the key; `this` for the one it is asked on.
 */
device: string, 
/**
 * What it is to be called.
 */
name?: string, 
/**
 * What it is for: `field`, `office` or `always-on`.
 */
role?: string, };

/**
 * How well a photo of this zone can be repeated.
 */
export type RepeatabilityView = { 
/**
 * Standard deviation between photos of one ground on one day.
 */
deviation: number, 
/**
 * Its degrees of freedom.
 */
df: number, 
/**
 * Photos behind it.
 */
photos: number, 
/**
 * Days behind it.
 */
occasions: number, };

/**
 * One value of a result.
 */
export type ResultValue = QuantityDto | string | boolean | Array<ResultValue> | Array<NamedValue> | null;

/**
 * One change of one field.
 */
export type RevisionView = { 
/**
 * Who, where, when.
 */
stamp: StampView, 
/**
 * The field's name in requests, or the stored key where no form knows it.
 */
field: string, 
/**
 * What it said before, in words.
 */
before: string | null, 
/**
 * What it said afterwards; none when it was taken away.
 */
after: string | null, };

/**
 * What a sample is planned for.
 */
export type SamplePlanRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Cores; worked out from the margin when left out.
 */
cores?: number, 
/**
 * The analyte whose margin decides the number of cores; `ph-water` when left out.
 */
analyte?: string, 
/**
 * The margin wanted, in the unit of the analyte's scatter: pH units, or % of the reading.
 */
margin?: number, 
/**
 * How sure; 0.9 when left out.
 */
level?: number, 
/**
 * Seed of the points; drawn when left out, and printed.
 */
seed?: number, 
/**
 * Distance kept from the edge, m; 1 when left out.
 */
edge?: Amount, 
/**
 * Inside diameter of the tool, mm; 19 when left out.
 */
tool_diameter?: Amount, 
/**
 * Depth of the cores, mm; the zone's root-zone depth when left out.
 */
depth?: Amount, 
/**
 * The laboratory whose wanted mass counts.
 */
laboratory?: string, };

/**
 * How many cores, where, and what they weigh.
 */
export type SamplePlanView = { 
/**
 * Cores.
 */
cores: number, 
/**
 * How the number came about; none where it was given.
 */
cores_working: WorkingDto | null, 
/**
 * What the number of cores reaches, in words.
 */
reaches: string, 
/**
 * Depth of the cores that was counted with, mm.
 */
depth_mm: number, 
/**
 * Mass of the composite, g.
 */
mass_g: number, 
/**
 * What the laboratory asks, g.
 */
wanted_g: number, 
/**
 * Cores that reach it.
 */
cores_to_reach: number, 
/**
 * How the mass came about.
 */
mass_working: WorkingDto, 
/**
 * The places in walking order; empty without an outline.
 */
points: Array<PointView>, 
/**
 * Why there are no places.
 */
points_missing: string, 
/**
 * The seed they follow from.
 */
seed: number | null, 
/**
 * Metres to walk.
 */
walk_m: number | null, 
/**
 * How the places came about.
 */
points_working: WorkingDto | null, };

/**
 * One sample.
 */
export type SampleRef = { 
/**
 * Its id.
 */
sample: string, };

/**
 * A sample with its cores.
 */
export type SampleView = { 
/**
 * Its record.
 */
record: RecordView, 
/**
 * The zone's name.
 */
zone_name: string, 
/**
 * Cores recorded one by one, in the order of the walk.
 */
cores: Array<CoreView>, 
/**
 * Cores in the bag.
 */
kept: number, 
/**
 * Cores set aside.
 */
set_aside: number, 
/**
 * What the bag should weigh, g; none while tool or depth is not known.
 */
estimate_g: number | null, 
/**
 * What the laboratory asks, g.
 */
wanted_g: number | null, 
/**
 * Cores that would reach it.
 */
cores_to_reach: number | null, 
/**
 * How the estimate came about.
 */
working: WorkingDto | null, 
/**
 * Panels of this sample.
 */
panels: Array<string>, 
/**
 * What to do next, in one sentence.
 */
sentence: string, };

/**
 * What a measurement says, as far as a list shows it.
 */
export type Says = { 
/**
 * Way of measuring; empty where none was kept.
 */
algorithm: string, 
/**
 * `none`, `grey-card` or `chart`; empty where none was kept.
 */
card: string, 
/**
 * Dark green colour index.
 */
index: number | null, 
/**
 * Green cover, a ratio.
 */
cover: number | null, 
/**
 * It may speak in a comparison.
 */
is_evidence: boolean, 
/**
 * Why not, in words.
 */
why_not: Array<string>, };

/**
 * One thing that happened.
 */
export type SeasonEvent = { 
/**
 * The record.
 */
id: string, 
/**
 * `sample`, `panel`, `plan`, `application` or `observation`.
 */
kind: string, 
/**
 * The sort of an observation: `rating`, `spot`, `photo` or `note`; empty otherwise.
 */
sort: string, 
/**
 * Its day; none while it is not known.
 */
date: string | null, 
/**
 * What it is, in a few words.
 */
title: string, 
/**
 * More of it.
 */
detail: string, 
/**
 * A rating's or reading's number.
 */
value: number | null, 
/**
 * Its unit.
 */
unit: string, 
/**
 * blake3 hash of a photo; empty otherwise.
 */
photo: string, 
/**
 * Labels of what is still to fill in.
 */
missing: Array<string>, };

/**
 * Which season to draw.
 */
export type SeasonFigureRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * First day; the first of the newest two seasons when left out.
 */
from?: string, 
/**
 * Last day.
 */
until?: string, 
/**
 * Width in px; 900 when left out.
 */
width?: number, 
/**
 * `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
 * out, for a file that stands alone.
 */
theme?: string, 
/**
 * Short names of January to December, as the page that shows the figure writes them; the
 * notebook's own when left out.
 */
months?: Array<string>, 
/**
 * `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
 */
date_order?: string, 
/**
 * The mark before the decimals; a point when left out.
 */
decimal_mark?: string, };

/**
 * One line of a series: photos taken in one manner.
 */
export type SeriesLineView = { 
/**
 * Its name: strip and card.
 */
name: string, 
/**
 * The strip; empty: the whole zone.
 */
strip: string, 
/**
 * The card.
 */
card: string, 
/**
 * Days in order.
 */
occasions: Array<OccasionView>, 
/**
 * How well a photo can be repeated; none before some day has two photos.
 */
repeatability: RepeatabilityView | null, 
/**
 * The last day against the first; none with one day only.
 */
change: DifferenceView | null, };

/**
 * Which series.
 */
export type SeriesRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * `index` or `cover`; `index` when left out.
 */
quantity?: string, };

/**
 * A series.
 */
export type SeriesView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * `index` or `cover`.
 */
quantity: string, 
/**
 * Lines of evidence.
 */
lines: Array<SeriesLineView>, 
/**
 * Photos that are shown and no evidence.
 */
hollow: Array<OccasionView>, 
/**
 * Photos that were not measured.
 */
unmeasured: number, 
/**
 * Growth potential by week, where temperatures and the kind of grass are known.
 */
growth: Array<GrowthWeek>, 
/**
 * What to mind.
 */
notes: Array<string>, };

/**
 * A new analysis of a material.
 */
export type SetAnalysis = { 
/**
 * The material, by id or name.
 */
material: string, 
/**
 * The analysis.
 */
analysis: Array<AnalysisLine>, };

/**
 * Settings to change.
 */
export type SettingsRequest = { 
/**
 * Fields by name; `null` takes one away.
 */
fields: Record<string, unknown>, };

/**
 * A unit of the records and the one it is shown in.
 */
export type ShownUnit = { 
/**
 * The unit of the records.
 */
unit: string, 
/**
 * The unit a person reads and first types.
 */
shown: string, 
/**
 * The number shown is the number kept times this, plus `offset`.
 */
factor: number, 
/**
 * Other than zero for temperatures only.
 */
offset: number, };

/**
 * How this notebook's amounts are shown.
 */
export type ShownUnits = { 
/**
 * `metric` or `us`.
 */
measure: string, 
/**
 * The units that are shown as another; all others are shown as they are kept.
 */
units: Array<ShownUnit>, 
/**
 * Every unit in which a length can be typed, for a screen that draws while it is typed.
 */
lengths: Array<LengthUnit>, };

/**
 * One of the two panels.
 */
export type SideView = { 
/**
 * The panel.
 */
panel: string, 
/**
 * The day the cores were pulled.
 */
sampled: string | null, 
/**
 * Upper end of the layer, mm.
 */
from_mm: number | null, 
/**
 * Lower end, mm.
 */
to_mm: number | null, 
/**
 * Cores; none where nobody recorded them.
 */
cores: number | null, };

/**
 * A photo that was not kept, and why.
 */
export type SkippedPhoto = { 
/**
 * Its path.
 */
path: string, 
/**
 * Why.
 */
why: string, 
/**
 * The record that already keeps this very file; empty where the file cannot be read.
 */
known_as: string, };

/**
 * A zone's slate as a file.
 */
export type SlateRequest = { 
/**
 * The zone.
 */
zone: string, 
/**
 * The file to write, ending in `.pdf` or `.png`.
 */
out: string, };

/**
 * Files or folders to sort.
 */
export type SortPhotos = { 
/**
 * Paths of photos, or of folders of photos.
 */
paths: Array<string>, 
/**
 * The zone of all of them, by id or name; sorted when left out.
 */
zone?: string, };

/**
 * One photo and where it belongs.
 */
export type SortedPhoto = { 
/**
 * Its path.
 */
path: string, 
/**
 * blake3 hash of the file; empty where it cannot be read.
 */
photo: string, 
/**
 * When it was taken by the camera's clock, `year-month-day hour:minute`; empty: not written.
 */
taken: string, 
/**
 * The zone, by id; empty while nothing tells.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * `given`, `slate`, `position`, `time`; empty while nothing tells.
 */
by: string, 
/**
 * Why, or what speaks against it, in words.
 */
why: string, 
/**
 * It is the slate itself: nothing to measure, left out unless asked for.
 */
is_slate: boolean, 
/**
 * The observation of that zone that already keeps this very file; empty: none does.
 */
known_as: string, 
/**
 * Another path of this list with the same content comes before it.
 */
is_repeated: boolean, 
/**
 * Why it cannot be kept; empty where it can.
 */
problem: string, };

/**
 * The sorting, to be looked at before anything is kept.
 */
export type SortedPhotos = { 
/**
 * The photos in the order they were taken.
 */
photos: Array<SortedPhoto>, 
/**
 * How many can be kept as they are sorted.
 */
ready: number, 
/**
 * Files of the folders that are no photos.
 */
ignored: number, };

/**
 * One source.
 */
export type SourceDto = { 
/**
 * Key in the table of sources.
 */
key: string, 
/**
 * Citation.
 */
citation: string, 
/**
 * Empty, or the words that must stand beside the value.
 */
caveat: string, };

/**
 * Who wrote something, where and when.
 */
export type StampView = { 
/**
 * Device: its name where it is known, else its mark.
 */
device: string, 
/**
 * Person; empty when nobody said.
 */
person: string, 
/**
 * What was done.
 */
action: string, 
/**
 * Day by that device's clock.
 */
day: string, 
/**
 * Seconds since 1970 by that device's clock.
 */
at: number, };

/**
 * One panel to draw.
 */
export type StandingFigureRequest = { 
/**
 * The panel.
 */
panel: string, 
/**
 * Width in px; 900 when left out.
 */
width?: number, 
/**
 * `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
 * out, for a file that stands alone.
 */
theme?: string, 
/**
 * Short names of January to December, as the page that shows the figure writes them; the
 * notebook's own when left out.
 */
months?: Array<string>, 
/**
 * `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
 */
date_order?: string, 
/**
 * The mark before the decimals; a point when left out.
 */
decimal_mark?: string, };

/**
 * One reading with its verdicts.
 */
export type StandingRow = { 
/**
 * Its short name in the panel.
 */
key: string, 
/**
 * Analyte id.
 */
analyte: string, 
/**
 * Analyte's name.
 */
name: string, 
/**
 * Method's name.
 */
method_name: string, 
/**
 * `<`, `>` or empty.
 */
qualifier: string, 
/**
 * The value in the unit it is kept in.
 */
value: number | null, 
/**
 * That unit.
 */
unit: string, 
/**
 * Decimals worth showing.
 */
decimals: number, 
/**
 * Lower end of the 90 % interval of the true value; none where the scatter is unknown.
 */
low: number | null, 
/**
 * Upper end.
 */
high: number | null, 
/**
 * Verdict of the first guideline; empty where none applies.
 */
verdict: string, 
/**
 * Verdicts, confirmed guidelines first.
 */
verdicts: Array<GuidelineVerdict>, 
/**
 * Guidelines that were not applied.
 */
not_applied: Array<NotAppliedView>, };

/**
 * What a panel says.
 */
export type StandingView = { 
/**
 * The panel.
 */
panel: string, 
/**
 * The zone.
 */
zone: string, 
/**
 * The zone's name.
 */
zone_name: string, 
/**
 * The day the cores were pulled.
 */
sampled: string | null, 
/**
 * Cores in the composite; none where nobody recorded them.
 */
cores: number | null, 
/**
 * What was assumed about the composite, in words; empty where nothing was.
 */
assumed: string, 
/**
 * The answer in one sentence.
 */
headline: string, 
/**
 * Readings against guidelines.
 */
rows: Array<StandingRow>, 
/**
 * Acidity, salt, sodium, cations and organic matter.
 */
facts: Array<FactView>, };

/**
 * What long work is at.
 */
export type Step = "reading" | "looking" | "placing" | "measuring" | "taking-back" | "preparing" | "keeping" | "listing";

/**
 * One line of arithmetic.
 */
export type StepDto = { 
/**
 * What is worked out.
 */
what: string, 
/**
 * The arithmetic with the numbers in.
 */
arithmetic: string, 
/**
 * The result.
 */
value: number, 
/**
 * Its unit.
 */
unit: string, };

/**
 * What one pass did.
 */
export type SyncPass = { 
/**
 * Everything that could be exchanged was, with every device that was met.
 */
done: boolean, 
/**
 * Devices that were met.
 */
met: Array<string>, 
/**
 * Devices that did not answer.
 */
away: Array<string>, 
/**
 * How things stand after it.
 */
status: SyncStatus, };

/**
 * One pass of sync.
 */
export type SyncPassRequest = { 
/**
 * Give up when nothing has moved for so many seconds; 20 when left out.
 */
patience?: number, };

/**
 * How syncing stands.
 */
export type SyncStatus = { 
/**
 * `gone` (the notebook's folder is no longer there), `alone` (no other device holds the
 * notebook), `removed` (this one was removed), `paused`,
 * `elsewhere` (another program has the notebook open and syncs it), `stopped` (nothing runs),
 * `apart` (no device answers), `working`, or `in-sync`.
 */
state: string, 
/**
 * In a sentence.
 */
words: string, 
/**
 * Devices that are connected.
 */
connected: Array<string>, 
/**
 * What waits for each device.
 */
waiting: Array<WaitingLine>, 
/**
 * Files that are still to come here.
 */
files_to_come: number, 
/**
 * Their bytes, as far as known.
 */
bytes_to_come: number, 
/**
 * Bytes carried a second, both ways together; none when nothing was lately.
 */
bytes_a_second: number | null, 
/**
 * About how long the known bytes will take; none when it cannot be told.
 */
seconds_left: number | null, 
/**
 * Documents that arrived since the link was started.
 */
arrived_documents: number, 
/**
 * Files that arrived since then.
 */
arrived_files: number, 
/**
 * What is in the way, with the device's name.
 */
problems: Array<string>, };

/**
 * Temperatures that were kept.
 */
export type TemperaturesAdded = { 
/**
 * The record.
 */
record: RecordView, 
/**
 * Days with a temperature.
 */
days: number, 
/**
 * First day.
 */
first: string, 
/**
 * Last day.
 */
last: string, 
/**
 * Least daily mean, degrees Celsius.
 */
least_c: number, 
/**
 * Greatest daily mean.
 */
greatest_c: number, };

/**
 * How much of it to show.
 */
export type TodayRequest = { 
/**
 * At most so many things, the most pressing; 100 when left out.
 */
most?: number, };

/**
 * What is due.
 */
export type TodayView = { 
/**
 * The day here.
 */
today: string, 
/**
 * What to do, the most pressing first.
 */
due: Array<DueView>, 
/**
 * Things due beyond those shown.
 */
more: number, 
/**
 * Zones.
 */
zones: number, 
/**
 * Zones that are clear to sample today.
 */
clear_zones: number, };

/**
 * A panel as typed.
 */
export type TypedPanel = { 
/**
 * The sample, by id.
 */
sample: string, 
/**
 * The laboratory, by id or name; the sample's when left out.
 */
laboratory?: string, 
/**
 * The laboratory's own number.
 */
report: string, 
/**
 * The day of the report; today when left out.
 */
date?: string, 
/**
 * The readings.
 */
readings: Array<TypedReading>, };

/**
 * One reading as typed.
 */
export type TypedReading = { 
/**
 * The analyte by id, name or symbol; a method or compound may stand in it, as in
 * `K (Mehlich-3)` or `P2O5`.
 */
analyte: string, 
/**
 * The method by id or name; may be left out where the analyte has only one.
 */
method: string, 
/**
 * The value, with `<` or `>` and a unit where wanted: `<0.5`, `5,2`, `120 mg/kg`.
 */
value: string | number, 
/**
 * The unit; may be left out where the value or the analyte says it.
 */
unit: string, 
/**
 * Marks and footnotes.
 */
note: string, };

/**
 * A correction of one reading.
 */
export type TypedReadingEdit = { 
/**
 * The panel.
 */
panel: string, 
/**
 * The reading's key; a new reading when left out.
 */
key?: string, 
/**
 * What it says; taken away when left out.
 */
reading?: TypedReading, };

/**
 * An action as shells list it.
 */
export type UndoEntry = { 
/**
 * Its number; the newest has the highest.
 */
number: number, 
/**
 * What was done.
 */
what: string, 
/**
 * Whether it has been taken back.
 */
undone: boolean, };

/**
 * Which action to take back.
 */
export type UndoRequest = { 
/**
 * Its number; the newest that stands when left out.
 */
number?: number, };

/**
 * A cell that is not read.
 */
export type UnreadView = { 
/**
 * The sheet; empty for a text file.
 */
sheet: string, 
/**
 * The cell.
 */
cell: string, 
/**
 * What it says.
 */
text: string, 
/**
 * Why it is not read.
 */
reason: string, 
/**
 * What to do.
 */
remedy: string, };

/**
 * One visit of a plan.
 */
export type VisitView = { 
/**
 * Its key in the plan, such as `acidity-1`.
 */
key: string, 
/**
 * What it is for: `acidity`, `sodium`, `k`, ...
 */
purpose: string, 
/**
 * Material id.
 */
material: string, 
/**
 * Material's name.
 */
material_name: string, 
/**
 * Dose of the material, g/m2.
 */
dose_g_m2: number, 
/**
 * Which visit of how many.
 */
visit: number, 
/**
 * How many.
 */
visits: number, 
/**
 * The day.
 */
date: string, 
/**
 * Mass for the zone, kg; none while its area is not known.
 */
amount_kg: number | null, 
/**
 * Whether it has to be watered in.
 */
water_in: boolean, 
/**
 * What to mind.
 */
cautions: Array<string>, 
/**
 * How the dose and its split came about.
 */
working: WorkingDto, };

/**
 * Taking a record away.
 */
export type VoidRecord = { 
/**
 * The record.
 */
id: string, 
/**
 * Why.
 */
why: string, };

/**
 * One application that the ground has to be clear of.
 */
export type WaitView = { 
/**
 * What was put on.
 */
what: string, 
/**
 * When, last.
 */
day: string, 
/**
 * Clear of it from.
 */
clear: string, 
/**
 * The rule in words.
 */
why: string, 
/**
 * Whether this one rules.
 */
rules: boolean, };

/**
 * What waits here for one device.
 */
export type WaitingLine = { 
/**
 * The device, by its key.
 */
device: string, 
/**
 * What it is called.
 */
name: string, 
/**
 * Entries it has not confirmed.
 */
entries: number, 
/**
 * Photos it keeps by its rule and has not confirmed.
 */
photos: number, 
/**
 * Small pictures, likewise.
 */
previews: number, 
/**
 * Laboratories' papers, likewise.
 */
papers: number, 
/**
 * The bytes of these files, as far as entries say them.
 */
bytes: number, 
/**
 * In words, such as "7 entries, 3 photos"; empty when nothing waits.
 */
words: string, };

/**
 * Which zone, seen from which day.
 */
export type WindowRequest = { 
/**
 * Id, name, or `property / zone`.
 */
zone: string, 
/**
 * The day somebody would sample; today when left out.
 */
day?: string, 
/**
 * The renovation day; the property's when left out.
 */
renovation_day?: string, 
/**
 * The laboratory whose turnaround counts, by id or name.
 */
laboratory?: string, };

/**
 * Whether a zone is clear to sample.
 */
export type WindowView = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_name: string, 
/**
 * Clear from this day; none where nothing was put on.
 */
clear_day: string | null, 
/**
 * Whether it is clear on the day asked.
 */
is_clear: boolean, 
/**
 * The answer in one sentence, with its reason.
 */
sentence: string, 
/**
 * What it has to be clear of.
 */
waits: Array<WaitView>, 
/**
 * How it came about.
 */
working: WorkingDto, 
/**
 * The calendar, where there is a renovation day to come.
 */
calendar: CalendarView | null, 
/**
 * Why there is no calendar, where a renovation day was given.
 */
calendar_refused: string, };

/**
 * The shown arithmetic of one number.
 */
export type WorkingDto = { 
/**
 * What went in.
 */
inputs: Array<WorkingInputDto>, 
/**
 * Equations in letters.
 */
equation: Array<string>, 
/**
 * The arithmetic.
 */
steps: Array<StepDto>, 
/**
 * On whose word.
 */
sources: Array<SourceDto>, 
/**
 * What to mind.
 */
cautions: Array<string>, 
/**
 * Empty, or the weakest word of all sources.
 */
caveat: string, };

/**
 * One input of a working.
 */
export type WorkingInputDto = { 
/**
 * Name.
 */
name: string, 
/**
 * Value.
 */
value: number, 
/**
 * Unit.
 */
unit: string, 
/**
 * `given`, `default` or `derived`.
 */
origin: string, 
/**
 * For a default, where it comes from.
 */
why: string, };

/**
 * Files that were written.
 */
export type WrittenFiles = { 
/**
 * Their paths.
 */
files: Array<string>, };

/**
 * A zone in the list.
 */
export type ZoneLine = { 
/**
 * Id.
 */
id: string, 
/**
 * Name.
 */
name: string, 
/**
 * Its property, by id.
 */
property: string, 
/**
 * Its property's name.
 */
property_name: string, 
/**
 * Area, m2.
 */
area_m2: number | null, 
/**
 * What the turf is for.
 */
turf: string, 
/**
 * Growth type.
 */
grass: string, 
/**
 * Texture.
 */
texture: string, 
/**
 * Things still to fill in about the zone itself.
 */
missing: number, 
/**
 * Records of its journal with something still to fill in.
 */
unfinished: number, 
/**
 * Samples.
 */
samples: number, 
/**
 * Panels.
 */
panels: number, 
/**
 * Applications.
 */
applications: number, 
/**
 * Observations.
 */
observations: number, 
/**
 * Day of the newest sample.
 */
last_sample: string | null, 
/**
 * Day of the newest panel.
 */
last_panel: string | null, 
/**
 * Newest panel's id.
 */
last_panel_id: string | null, 
/**
 * Day of the newest application.
 */
last_application: string | null, 
/**
 * Samples that wait for a panel.
 */
waiting: number, 
/**
 * Visits of accepted plans still to do.
 */
due: number, };

/**
 * Which zones to list.
 */
export type ZoneListRequest = { 
/**
 * Only those of this property, by id or name.
 */
property?: string, };

/**
 * One zone, by id or name.
 */
export type ZoneRequest = { 
/**
 * Id, name, or `property / zone`.
 */
zone: string, };

/**
 * A zone with its season.
 */
export type ZoneView = { 
/**
 * Its record.
 */
record: RecordView, 
/**
 * Its line in the list.
 */
line: ZoneLine, 
/**
 * Everything that happened, newest first.
 */
season: Array<SeasonEvent>, };

/** Every command with its request and its answer. */
export type Commands = {
  "notebook.status": [Nothing, NotebookStatus];
  "notebook.undo_list": [Nothing, Array<UndoEntry>];
  "notebook.undo": [UndoRequest, UndoEntry];
  "today": [TodayRequest, TodayView];
  "record.forms": [Nothing, Array<FormInfo>];
  "record.get": [RecordRef, RecordView];
  "record.find": [FindRecord, RecordView];
  "record.list": [ListRecords, Array<RecordView>];
  "record.add": [AddRecord, RecordView];
  "record.edit": [EditRecord, RecordView];
  "record.void": [VoidRecord, RecordView];
  "record.restore": [RecordRef, RecordView];
  "record.history": [RecordRef, Array<RevisionView>];
  "record.conflicts": [ConflictsRequest, Array<ConflictView>];
  "record.choose": [ChooseRequest, RecordView];
  "units.shown": [Nothing, ShownUnits];
  "record.apart": [Nothing, Array<PlaceApart>];
  "settings.get": [Nothing, RecordView];
  "settings.set": [SettingsRequest, RecordView];
  "property.list": [Nothing, Array<PropertyLine>];
  "property.show": [PropertyRequest, PropertyView];
  "zone.list": [ZoneListRequest, Array<ZoneLine>];
  "zone.show": [ZoneRequest, ZoneView];
  "zone.outline": [OutlineRequest, OutlineView];
  "zone.merge": [MergeZones, MergeView];
  "laboratory.list": [Nothing, Array<LaboratoryLine>];
  "material.list": [Nothing, Array<MaterialLine>];
  "material.show": [MaterialRequest, MaterialView];
  "material.add": [AddMaterial, MaterialView];
  "material.set_analysis": [SetAnalysis, MaterialView];
  "sample.window": [WindowRequest, WindowView];
  "sample.plan": [SamplePlanRequest, SamplePlanView];
  "sample.show": [SampleRef, SampleView];
  "panel.preview": [PreviewRequest, PreviewView];
  "panel.import": [ImportRequest, ImportOutcome];
  "panel.add": [TypedPanel, PanelView];
  "panel.set_reading": [TypedReadingEdit, PanelView];
  "panel.show": [PanelRef, PanelView];
  "panel.reading": [PanelRef, StandingView];
  "plan.draft": [PlanRequest, PlanDraft];
  "plan.accept": [AcceptRequest, PlanView];
  "plan.packs": [PacksRequest, PacksView];
  "plan.show": [PlanRef, PlanView];
  "analyte.list": [Nothing, Array<AnalyteLine>];
  "zone.compare": [CompareRequest, CompareView];
  "observation.series": [ObservedRequest, ObservedView];
  "photo.sort": [SortPhotos, SortedPhotos];
  "photo.add": [AddPhotos, PhotosAdded];
  "photo.list": [ListPhotos, Array<PhotoLine>];
  "photo.show": [PhotoRef, PhotoView];
  "photo.measure_file": [MeasureFile, MeasurementView];
  "photo.try": [MeasurePhoto, MeasurementView];
  "photo.measure": [MeasurePhoto, MeasurementView];
  "photo.measure_many": [MeasureMany, MeasuredMany];
  "photo.redo": [PhotoRef, RedoView];
  "photo.series": [SeriesRequest, SeriesView];
  "photo.pair": [PairRequest, PairView];
  "photo.export": [ExportPhoto, ExportedPhoto];
  "photo.pictures": [PicturesRequest, PicturesMade];
  "photo.chart": [ChartRequest, WrittenFiles];
  "photo.slate": [SlateRequest, WrittenFiles];
  "temperatures.add": [AddTemperatures, TemperaturesAdded];
  "figure.season": [SeasonFigureRequest, FigureView];
  "figure.photos": [PhotosFigureRequest, FigureView];
  "figure.compare": [IntervalsFigureRequest, FigureView];
  "figure.reading": [StandingFigureRequest, FigureView];
  "figure.plan": [PlanFigureRequest, FigureView];
  "guideline.list": [Nothing, Array<GuidelineLine>];
  "calc.list": [Nothing, Array<CalculationInfo>];
  "calc.run": [CalcRequest, CalcOutcome];
  "devices.list": [Nothing, DevicesView];
  "devices.rename": [RenameDevice, DevicesView];
  "devices.remove": [RemoveDevice, DevicesView];
  "devices.keep_rule": [KeepRuleRequest, DevicesView];
  "devices.own": [OwnDeviceEdit, DevicesView];
  "devices.invite": [InviteRequest, InvitationView];
  "devices.close_invitation": [Nothing, PairingView];
  "devices.join": [JoinRequest, PairingView];
  "devices.confirm": [ConfirmRequest, PairingView];
  "devices.pairing": [Nothing, PairingView];
  "devices.read_qr": [QrPicture, QrText];
  "sync.status": [Nothing, SyncStatus];
  "sync.once": [SyncPassRequest, SyncPass];
  "sync.pause": [Nothing, SyncStatus];
  "sync.resume": [Nothing, SyncStatus];
};
