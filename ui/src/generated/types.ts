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
 * A photo to keep.
 */
export type AddPhoto = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Path of a JPEG, PNG or WebP file.
 */
path: string, 
/**
 * The day; the camera's when left out, else today.
 */
date?: string, 
/**
 * Words.
 */
note: string, };

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
 * The zone, where no panels are named: its newest panel against the oldest.
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
 * Its name.
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
 * One thing to do.
 */
export type DueView = { 
/**
 * `visit`, `panel`, `post`, `sample` or `unfinished`.
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
 * What the applications in between should have done.
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
theme?: string, };

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
 * A photo that was kept.
 */
export type PhotoAdded = { 
/**
 * The observation.
 */
record: RecordView, 
/**
 * blake3 hash of the original, which is kept untouched.
 */
photo: string, 
/**
 * Columns, upright.
 */
width: number, 
/**
 * Rows, upright.
 */
height: number, 
/**
 * What the camera said of its colours.
 */
profile: string, 
/**
 * Whether this very file was kept before.
 */
was_known: boolean, };

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
theme?: string, };

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
theme?: string, };

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
 * Device.
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
theme?: string, };

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
 * `alone` (no other device holds the notebook), `removed` (this one was removed), `paused`,
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
  "today": [Nothing, TodayView];
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
  "record.apart": [Nothing, Array<PlaceApart>];
  "settings.get": [Nothing, RecordView];
  "settings.set": [SettingsRequest, RecordView];
  "property.list": [Nothing, Array<PropertyLine>];
  "property.show": [PropertyRequest, PropertyView];
  "zone.list": [ZoneListRequest, Array<ZoneLine>];
  "zone.show": [ZoneRequest, ZoneView];
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
  "plan.show": [PlanRef, PlanView];
  "analyte.list": [Nothing, Array<AnalyteLine>];
  "zone.compare": [CompareRequest, CompareView];
  "observation.add_photo": [AddPhoto, PhotoAdded];
  "figure.season": [SeasonFigureRequest, FigureView];
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
