//! The commands.

use serde_json::Value as Json;

use super::{CommandInfo, Nothing, request, types::Gatherer};
use crate::{
    Code, Notebook, NotebookStatus, Problem, UndoEntry, Watch,
    album::{
        self, AddPhotos, ChartRequest, ExportPhoto, ExportedPhoto, ListPhotos, MeasureFile,
        MeasureMany, MeasurePhoto, MeasuredMany, MeasurementView, PairRequest, PairView, PhotoLine,
        PhotoRef, PhotoView, PhotosAdded, PicturesMade, PicturesRequest, RedoView, SeriesRequest,
        SeriesView, SlateRequest, SortPhotos, SortedPhotos, WrittenFiles,
    },
    analyte::{AnalyteLine, analytes},
    calc::{self, CalcOutcome, CalculationInfo},
    compare::{CompareRequest, CompareView},
    devices::{
        ConfirmRequest, DevicesView, InvitationView, InviteRequest, JoinRequest, KeepRuleRequest,
        LinkedNotebook, OwnDeviceEdit, PairingView, QrPicture, QrText, RemoveDevice, RenameDevice,
        SyncPass, SyncPassRequest, SyncStatus, read_qr,
    },
    figure::{
        FigureView, IntervalsFigureRequest, PhotosFigureRequest, PlanFigureRequest,
        SeasonFigureRequest, StandingFigureRequest,
    },
    ground::{
        PropertyLine, PropertyRequest, PropertyView, ZoneLine, ZoneListRequest, ZoneRequest,
        ZoneView,
    },
    laboratory::LaboratoryLine,
    material::{AddMaterial, MaterialLine, MaterialRequest, MaterialView, SetAnalysis},
    measure::ShownUnits,
    merge::{MergeView, MergeZones},
    observation::{ObservedRequest, ObservedView},
    outline::{OutlineRequest, OutlineView},
    panel::{
        ImportOutcome, ImportRequest, PanelRef, PanelView, PreviewRequest, PreviewView, TypedPanel,
        TypedReadingEdit,
    },
    plan::{AcceptRequest, PacksRequest, PacksView, PlanDraft, PlanRef, PlanRequest, PlanView},
    record::{
        AddRecord, ChooseRequest, ConflictView, EditRecord, FORMS, FindRecord, FormInfo,
        ListRecords, PlaceApart, RecordRef, RecordView, RevisionView, VoidRecord,
    },
    request::{CalcRequest, ConflictsRequest, SettingsRequest, UndoRequest},
    sampling::{
        SamplePlanRequest, SamplePlanView, SampleRef, SampleView, WindowRequest, WindowView,
    },
    standing::{GuidelineLine, StandingView},
    temperature::{AddTemperatures, TemperaturesAdded},
    today::{TodayRequest, TodayView},
    turns::Turns,
};

macro_rules! commands {
    ($( $access:ident $name:literal: $request:ty => $answer:ty, |$($p:pat_param),+| $body:expr; )*) => {
        /// Every command.
        #[must_use]
        pub const fn commands() -> &'static [CommandInfo] {
            &[ $( CommandInfo { name: $name, writes: commands!(@writes $access) }, )* ]
        }

        /// Runs a command.
        ///
        /// # Errors
        /// [`Problem`] when there is no such command, when the request does not fit, or when the
        /// command refuses; commands about other devices need a [`LinkedNotebook`].
        pub fn call_watched(
            notebook: &mut Notebook,
            name: &str,
            given: Json,
            watch: &mut dyn Watch,
        ) -> Result<Json, Problem> {
            match name {
                $( $name => commands!(@alone $access notebook, watch, given, $name, $request, $answer, |$($p),+| $body), )*
                _ => Err(unknown(name)),
            }
        }

        /// Runs a command on a notebook with its link.
        pub(super) fn call_linked_watched(
            linked: &LinkedNotebook,
            name: &str,
            given: Json,
            watch: &mut dyn Watch,
        ) -> Result<Json, Problem> {
            match name {
                $( $name => commands!(@linked $access linked, watch, given, $name, $request, $answer, |$($p),+| $body), )*
                _ => Err(unknown(name)),
            }
        }

        pub(super) fn visit_commands(gatherer: &mut Gatherer) {
            $( gatherer.command::<$request, $answer>($name); )*
        }
    };
    (@writes reads) => { false };
    (@writes asks) => { false };
    (@writes reads_in_turns) => { false };
    (@writes $other:ident) => { true };
    (@alone reads $notebook:ident, $watch:ident, $given:ident, $name:literal, $request:ty, $answer:ty, |$n:pat_param, $r:pat_param| $body:expr) => {{
        let asked: $request = request($name, $given)?;
        let run = |$n: &mut Notebook, $r: $request| -> Result<$answer, Problem> { $body };
        answer(run($notebook, asked)?)
    }};
    (@alone writes $notebook:ident, $watch:ident, $given:ident, $($rest:tt)*) => {{
        $notebook.must_edit()?;
        commands!(@alone reads $notebook, $watch, $given, $($rest)*)
    }};
    (@alone takes_long $notebook:ident, $watch:ident, $given:ident, $name:literal, $request:ty, $answer:ty, |$n:pat_param, $r:pat_param, $w:pat_param| $body:expr) => {{
        $notebook.must_edit()?;
        let asked: $request = request($name, $given)?;
        let run = |$n: &mut Notebook, $r: $request, $w: &mut dyn Watch| -> Result<$answer, Problem> { $body };
        answer(run($notebook, asked, $watch)?)
    }};
    (@alone reads_in_turns $notebook:ident, $watch:ident, $given:ident, $($rest:tt)*) => {
        commands!(@in_turns Turns::Alone($notebook), $watch, $given, $($rest)*)
    };
    (@alone writes_in_turns $notebook:ident, $watch:ident, $given:ident, $($rest:tt)*) => {{
        $notebook.must_edit()?;
        commands!(@in_turns Turns::Alone($notebook), $watch, $given, $($rest)*)
    }};
    (@in_turns $turns:expr, $watch:ident, $given:ident, $name:literal, $request:ty, $answer:ty, |$t:pat_param, $r:pat_param, $w:pat_param| $body:expr) => {{
        let asked: $request = request($name, $given)?;
        let run = |$t: &mut Turns<'_>, $r: $request, $w: &mut dyn Watch| -> Result<$answer, Problem> { $body };
        answer(run(&mut $turns, asked, $watch)?)
    }};
    (@alone $devices:ident $notebook:ident, $watch:ident, $given:ident, $name:literal, $($rest:tt)*) => {
        Err(needs_link($name))
    };
    (@linked reads $linked:ident, $($rest:tt)*) => {
        $linked.with(|notebook| commands!(@alone reads notebook, $($rest)*))
    };
    (@linked writes $linked:ident, $($rest:tt)*) => {
        $linked.with(|notebook| commands!(@alone writes notebook, $($rest)*))
    };
    (@linked takes_long $linked:ident, $($rest:tt)*) => {
        $linked.with(|notebook| commands!(@alone takes_long notebook, $($rest)*))
    };
    (@linked reads_in_turns $linked:ident, $watch:ident, $given:ident, $($rest:tt)*) => {
        commands!(@in_turns Turns::Shared($linked), $watch, $given, $($rest)*)
    };
    (@linked writes_in_turns $linked:ident, $watch:ident, $given:ident, $($rest:tt)*) => {{
        $linked.with(|notebook| notebook.must_edit())?;
        commands!(@in_turns Turns::Shared($linked), $watch, $given, $($rest)*)
    }};
    (@linked $devices:ident $linked:ident, $watch:ident, $given:ident, $name:literal, $request:ty, $answer:ty, |$n:pat_param, $r:pat_param| $body:expr) => {{
        let asked: $request = request($name, $given)?;
        let run = |$n: &LinkedNotebook, $r: $request| -> Result<$answer, Problem> { $body };
        answer(run($linked, asked)?)
    }};
}

fn unknown(name: &str) -> Problem {
    Problem::not_found("command", format!("there is no command \"{name}\""))
}

fn needs_link(name: &str) -> Problem {
    Problem::refused(format!("\"{name}\" needs the notebook's link to other devices"))
}

fn answer(value: impl serde::Serialize) -> Result<Json, Problem> {
    serde_json::to_value(value).map_err(|e| Problem::new(Code::Storage, e.to_string()))
}

commands! {
    reads "notebook.status": Nothing => NotebookStatus, |n, _| n.status();
    reads "notebook.undo_list": Nothing => Vec<UndoEntry>, |n, _| n.undo_list();
    takes_long "notebook.undo": UndoRequest => UndoEntry, |n, r, w| n.undo(r.number, w);
    reads "today": TodayRequest => TodayView, |n, r| n.due_today(&r);
    reads "record.forms": Nothing => Vec<FormInfo>, |_, _| Ok(FORMS.iter().map(FormInfo::from).collect());
    reads "record.get": RecordRef => RecordView, |n, r| n.record(&r.id);
    reads "record.find": FindRecord => RecordView, |n, r| n.find_and_show(&r);
    reads "record.list": ListRecords => Vec<RecordView>, |n, r| n.list_records(&r);
    writes "record.add": AddRecord => RecordView, |n, r| n.add_record(&r);
    writes "record.edit": EditRecord => RecordView, |n, r| n.edit_record(&r);
    writes "record.void": VoidRecord => RecordView, |n, r| n.void_record(&r);
    writes "record.restore": RecordRef => RecordView, |n, r| n.restore_record(&r);
    reads "record.history": RecordRef => Vec<RevisionView>, |n, r| n.record_history(&r);
    reads "record.conflicts": ConflictsRequest => Vec<ConflictView>, |n, r| n.conflicts(r.within.as_deref());
    writes "record.choose": ChooseRequest => RecordView, |n, r| n.choose(&r);
    reads "units.shown": Nothing => ShownUnits, |n, _| n.shown_units();
    reads "record.apart": Nothing => Vec<PlaceApart>, |n, _| n.apart();
    reads "settings.get": Nothing => RecordView, |n, _| n.settings();
    writes "settings.set": SettingsRequest => RecordView, |n, r| n.set_settings(r.fields);
    reads "property.list": Nothing => Vec<PropertyLine>, |n, _| n.properties();
    reads "property.show": PropertyRequest => PropertyView, |n, r| n.property(&r);
    reads "zone.list": ZoneListRequest => Vec<ZoneLine>, |n, r| n.zones(&r);
    reads "zone.show": ZoneRequest => ZoneView, |n, r| n.zone(&r);
    reads "zone.outline": OutlineRequest => OutlineView, |n, r| n.zone_shape_drawn(&r);
    writes "zone.merge": MergeZones => MergeView, |n, r| n.merge_zones(&r);
    reads "laboratory.list": Nothing => Vec<LaboratoryLine>, |n, _| n.laboratories();
    reads "material.list": Nothing => Vec<MaterialLine>, |n, _| n.materials();
    reads "material.show": MaterialRequest => MaterialView, |n, r| n.material(&r.material);
    writes "material.add": AddMaterial => MaterialView, |n, r| n.add_material(&r);
    writes "material.set_analysis": SetAnalysis => MaterialView, |n, r| n.set_analysis(&r);
    reads "sample.window": WindowRequest => WindowView, |n, r| n.sampling_window(&r);
    reads "sample.plan": SamplePlanRequest => SamplePlanView, |n, r| n.plan_sample(&r);
    reads "sample.show": SampleRef => SampleView, |n, r| n.sample(&r.sample);
    reads "panel.preview": PreviewRequest => PreviewView, |n, r| n.preview_panel(&r);
    takes_long "panel.import": ImportRequest => ImportOutcome, |n, r, w| n.import_panel(&r, w);
    writes "panel.add": TypedPanel => PanelView, |n, r| n.add_panel(&r);
    writes "panel.set_reading": TypedReadingEdit => PanelView, |n, r| n.set_reading(&r);
    reads "panel.show": PanelRef => PanelView, |n, r| n.panel(&r.panel);
    reads "panel.reading": PanelRef => StandingView, |n, r| n.standing(&r.panel);
    reads "plan.draft": PlanRequest => PlanDraft, |n, r| n.draft_plan(&r);
    writes "plan.accept": AcceptRequest => PlanView, |n, r| n.accept_plan(&r);
    reads "plan.packs": PacksRequest => PacksView, |n, r| n.packs(&r);
    reads "plan.show": PlanRef => PlanView, |n, r| n.plan(&r.plan);
    reads "analyte.list": Nothing => Vec<AnalyteLine>, |_, _| Ok(analytes());
    reads "zone.compare": CompareRequest => CompareView, |n, r| n.compare(&r);
    reads "observation.series": ObservedRequest => ObservedView, |n, r| n.observed(&r);
    reads_in_turns "photo.sort": SortPhotos => SortedPhotos, |n, r, w| album::sort_photos(n, &r, w);
    writes_in_turns "photo.add": AddPhotos => PhotosAdded, |n, r, w| album::add_photos(n, &r, w);
    reads "photo.list": ListPhotos => Vec<PhotoLine>, |n, r| n.photos(&r);
    reads "photo.show": PhotoRef => PhotoView, |n, r| n.photo(&r);
    reads "photo.measure_file": MeasureFile => MeasurementView, |n, r| album::measure_file(&r, n.today());
    reads "photo.try": MeasurePhoto => MeasurementView, |n, r| n.try_measure(&r);
    writes "photo.measure": MeasurePhoto => MeasurementView, |n, r| n.measure_photo(&r);
    writes_in_turns "photo.measure_many": MeasureMany => MeasuredMany, |n, r, w| album::measure_many(n, &r, w);
    reads "photo.redo": PhotoRef => RedoView, |n, r| n.redo_measurement(&r);
    reads "photo.series": SeriesRequest => SeriesView, |n, r| n.photo_series(&r);
    reads "photo.pair": PairRequest => PairView, |n, r| n.photo_pair(&r);
    reads "photo.export": ExportPhoto => ExportedPhoto, |n, r| n.export_photo(&r);
    reads "photo.pictures": PicturesRequest => PicturesMade, |n, r| n.make_pictures(&r);
    reads "photo.chart": ChartRequest => WrittenFiles, |_, r| album::write_chart(&r);
    reads "photo.slate": SlateRequest => WrittenFiles, |n, r| n.write_slate(&r);
    writes "temperatures.add": AddTemperatures => TemperaturesAdded, |n, r| n.add_temperatures(&r);
    reads "figure.season": SeasonFigureRequest => FigureView, |n, r| n.season_figure(&r);
    reads "figure.photos": PhotosFigureRequest => FigureView, |n, r| n.photos_figure(&r);
    reads "figure.compare": IntervalsFigureRequest => FigureView, |n, r| n.compare_figure(&r);
    reads "figure.reading": StandingFigureRequest => FigureView, |n, r| n.standing_figure(&r);
    reads "figure.plan": PlanFigureRequest => FigureView, |n, r| n.plan_figure(&r);
    reads "guideline.list": Nothing => Vec<GuidelineLine>, |n, _| n.guidelines();
    reads "calc.list": Nothing => Vec<CalculationInfo>, |_, _| Ok(calc::catalogue().iter().map(calc::Calculation::info).collect());
    reads "calc.run": CalcRequest => CalcOutcome, |_, r| calc::run(&r.id, &r.inputs);
    asks "devices.list": Nothing => DevicesView, |d, _| d.devices();
    changes "devices.rename": RenameDevice => DevicesView, |d, r| d.rename_device(&r);
    changes "devices.remove": RemoveDevice => DevicesView, |d, r| d.remove_device(&r);
    changes "devices.keep_rule": KeepRuleRequest => DevicesView, |d, r| d.set_keep_rule(&r);
    changes "devices.own": OwnDeviceEdit => DevicesView, |d, r| d.set_own_device(&r);
    changes "devices.invite": InviteRequest => InvitationView, |d, r| d.invite(r);
    changes "devices.close_invitation": Nothing => PairingView, |d, _| d.close_invitation();
    changes "devices.join": JoinRequest => PairingView, |d, r| d.join(&r);
    changes "devices.confirm": ConfirmRequest => PairingView, |d, r| d.confirm(r);
    asks "devices.pairing": Nothing => PairingView, |d, _| d.pairing();
    asks "devices.read_qr": QrPicture => QrText, |_, r| read_qr(&r);
    asks "sync.status": Nothing => SyncStatus, |d, _| d.sync_status();
    changes "sync.once": SyncPassRequest => SyncPass, |d, r| d.sync_once(r, &mut |_| {});
    changes "sync.pause": Nothing => SyncStatus, |d, _| d.pause();
    changes "sync.resume": Nothing => SyncStatus, |d, _| d.resume();
}
