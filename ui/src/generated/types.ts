// Written by `cargo xtask types` from the Rust types; edit those instead.

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
 * Labels of what is still to fill in.
 */
missing: Array<string>, };

/**
 * Settings to change.
 */
export type SettingsRequest = { 
/**
 * Fields by name; `null` takes one away.
 */
fields: Record<string, unknown>, };

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
  "record.forms": [Nothing, Array<FormInfo>];
  "record.get": [RecordRef, RecordView];
  "record.add": [AddRecord, RecordView];
  "record.edit": [EditRecord, RecordView];
  "record.void": [VoidRecord, RecordView];
  "record.restore": [RecordRef, RecordView];
  "record.history": [RecordRef, Array<RevisionView>];
  "record.conflicts": [ConflictsRequest, Array<ConflictView>];
  "record.choose": [ChooseRequest, RecordView];
  "settings.get": [Nothing, RecordView | null];
  "settings.set": [SettingsRequest, RecordView];
  "property.list": [Nothing, Array<PropertyLine>];
  "property.show": [PropertyRequest, PropertyView];
  "zone.list": [ZoneListRequest, Array<ZoneLine>];
  "zone.show": [ZoneRequest, ZoneView];
  "laboratory.list": [Nothing, Array<LaboratoryLine>];
  "calc.list": [Nothing, Array<CalculationInfo>];
  "calc.run": [CalcRequest, CalcOutcome];
};
