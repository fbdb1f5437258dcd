//! Lays the plan out: ground first, then marks, then the words that find room.

use super::ground::{self, Ground};
use super::labels::{self, Size};
use super::{CoreFate, Extent, PlanRows, Spot, Track, surroundings, table};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke, Turned};
use crate::figure::{DataTable, Figure};
use crate::legend;
use crate::look::Look;
use crate::mark::{self, HALF, Shape};
use crate::palette::Ink;
use crate::taken::Taken;
use crate::text::{self, Font};
use crate::words::Words;

pub(super) const NAME: Font = Font::bold(13.0);
pub(super) const DETAIL: Font = Font::plain(12.0);
const SMALL: Font = Font::plain(11.0);
/// Room around the drawn ground, where labels beside outlines may stand.
const AROUND: f64 = 20.0;
/// A drawing is never larger than this: a mower's width would fill the page.
const MOST_PX_PER_METRE: f64 = 60.0;

type Rings = Vec<Vec<(f64, f64)>>;

/// An outline on the drawing with the words it wants.
struct Outlined {
    rings: Rings,
    lines: Vec<(String, Font, Ink)>,
}

pub(super) fn paint(rows: &PlanRows, look: &Look, description: &str, table: DataTable) -> Figure {
    let mut canvas = Canvas::new(look);
    let plan = Plan::laid_out(rows, look, canvas.width());
    let mut y = plan.paint(&mut canvas) + 14.0;
    y = surroundings::blocks(&mut canvas, rows, plan.ground.px_per_metre, y, &look.words);
    y = surroundings::scale_and_north(&mut canvas, &plan.ground, rows, y, &look.words) + 8.0;
    y += legend::draw(&mut canvas, y, &surroundings::legend_entries(rows, &look.words));
    canvas.finish("plan", &rows.title, description, y + 2.0, table)
}

/// The ground with everything on it, in px.
struct Plan<'r> {
    rows: &'r PlanRows,
    words: &'r Words,
    ground: Ground,
    /// Whether any spot is known.
    has_ground: bool,
    /// Zones with an outline, by their number, then strips.
    zones: Vec<(usize, Outlined)>,
    strips: Vec<Outlined>,
    /// The drawing's room, labels beside outlines included.
    room: Rect,
    /// The whole width.
    width: f64,
    bottom: f64,
}

impl<'r> Plan<'r> {
    /// Lays out without a margin for labels, and again with one if some find no room.
    fn laid_out(rows: &'r PlanRows, look: &'r Look, width: f64) -> Self {
        let mut margin = 0.0;
        let mut plan = Self::within(rows, look, width, margin);
        // A narrower drawing may lose one label more; three rounds settle every case seen.
        for _ in 0..3 {
            let lost = plan.labels().lost;
            let widths = lost.iter().map(|(shape, _)| size_of(&shape.lines).width);
            let wanted = if lost.is_empty() { 0.0 } else { widths.fold(0.0, f64::max) + 26.0 };
            let wanted = wanted.min(width * 0.42);
            if wanted <= margin {
                break;
            }
            margin = wanted;
            plan = Self::within(rows, look, width, margin);
        }
        plan
    }

    fn within(rows: &'r PlanRows, look: &'r Look, width: f64, margin: f64) -> Self {
        let spots = || {
            let zones = rows.zones.iter().flat_map(|zone| match &zone.extent {
                Extent::Outline { outer, .. } => outer.as_slice(),
                Extent::Area { .. } => &[],
            });
            let strips = rows.strips.iter().flat_map(|strip| &strip.outline);
            let cores = rows.cores.iter().map(|core| core.at);
            let photos = rows.photos.iter().map(|photo| photo.at);
            zones.chain(strips).copied().chain(cores).chain(photos)
        };
        let height = if look.is_field() { width * 1.15 } else { (width * 0.62).min(560.0) };
        let inner = Rect {
            x: AROUND,
            y: AROUND,
            width: width - margin - 2.0 * AROUND,
            height: height - 2.0 * AROUND,
        };
        let has_ground = spots().next().is_some();
        // Blocks share the scale, so the largest of them has to fit as well.
        let largest =
            rows.zones.iter().filter_map(surroundings::area_of).fold(0.0, f64::max).sqrt();
        let most = if largest == 0.0 {
            MOST_PX_PER_METRE
        } else if has_ground {
            (width / largest).min(MOST_PX_PER_METRE)
        } else {
            (width * 0.45).min(200.0) / largest
        };
        let bearing = rows.up_bearing.unwrap_or(0.0);
        let (ground, used) = Ground::fitting(spots(), bearing, inner, most);
        let ring = |spots: &[Spot]| spots.iter().map(|spot| ground.at(*spot)).collect::<Vec<_>>();
        let zones = rows.zones.iter().enumerate().filter_map(|(row, zone)| {
            let Extent::Outline { outer, holes } = &zone.extent else { return None };
            let rings = std::iter::once(outer).chain(holes).map(|spots| ring(spots)).collect();
            let lines = vec![
                (zone.name.clone(), NAME, Ink::Text),
                (zone.detail.clone(), DETAIL, Ink::Soft),
            ];
            Some((row, Outlined { rings, lines }))
        });
        let strips = rows.strips.iter().map(|strip| Outlined {
            rings: vec![ring(&strip.outline)],
            lines: vec![(strip.name.clone(), DETAIL, ink_of(strip.role))],
        });
        let bottom = if has_ground { AROUND + used + AROUND } else { 0.0 };
        let room = Rect { x: 0.0, y: 0.0, width: width - margin, height: bottom };
        Self {
            rows,
            words: &look.words,
            ground,
            has_ground,
            zones: zones.collect(),
            strips: strips.collect(),
            room,
            width,
            bottom,
        }
    }

    fn marks(&self) -> impl Iterator<Item = (f64, f64)> {
        let cores = self.rows.cores.iter().map(|core| core.at);
        let photos = self.rows.photos.iter().map(|photo| photo.at);
        cores.chain(photos).map(|spot| self.ground.at(spot))
    }

    /// Finds room for every label; what finds none is listed.
    fn labels(&self) -> Labels<'_> {
        let mut taken = Taken::default();
        for (x, y) in self.marks() {
            taken.take(Rect::around(x, y, HALF + 1.0));
        }
        for photo in &self.rows.photos {
            if let Some(bearing) = photo.facing {
                taken.take(ground::bounds(&view(&self.ground, self.ground.at(photo.at), bearing)));
            }
        }
        let mut placed = Vec::new();
        let mut lost = Vec::new();
        let is_within = |rect: &Rect| {
            rect.x >= self.room.x
                && rect.y >= self.room.y
                && rect.x + rect.width <= self.room.x + self.room.width
                && rect.y + rect.height <= self.room.y + self.room.height
        };
        let zones: Vec<&Outlined> = self.zones.iter().map(|(_, shape)| shape).collect();
        for (index, shape) in self.strips.iter().enumerate() {
            let others = self.strips.iter().enumerate().filter(|(other, _)| *other != index);
            let others: Vec<&Outlined> = near(others.map(|(_, shape)| shape), shape);
            let zones: Vec<&Outlined> = near(zones.iter().copied(), shape);
            let clear = |rect: &Rect| {
                !others.iter().any(|other| ground::touches(&other.rings, *rect))
                    && !zones.iter().any(|zone| ground::is_crossed(&zone.rings, *rect))
            };
            place_one(shape, &mut taken, &mut placed, &mut lost, self.room.width, |rect| {
                is_within(rect) && clear(rect)
            });
        }
        for (index, shape) in zones.iter().enumerate() {
            let strips: Vec<&Outlined> = near(self.strips.iter(), shape);
            let others = zones.iter().enumerate().filter(|(other, _)| *other != index);
            let others: Vec<&Outlined> = near(others.map(|(_, shape)| *shape), shape);
            let clear = |rect: &Rect| {
                let mut all = strips.iter().chain(&others);
                !all.any(|other| ground::touches(&other.rings, *rect))
            };
            place_one(shape, &mut taken, &mut placed, &mut lost, self.room.width, |rect| {
                is_within(rect) && clear(rect)
            });
        }
        let mut points = Vec::new();
        let cores = self.rows.cores.iter().map(|core| (core.at, &core.label));
        let photos = self.rows.photos.iter().map(|photo| (photo.at, &photo.label));
        for (spot, label) in cores.chain(photos) {
            if label.is_empty() {
                continue;
            }
            let (x, y) = self.ground.at(spot);
            let size = Size { width: text::width(label, SMALL), height: SMALL.box_height() };
            let places = labels::beside(Rect::around(x, y, HALF - 1.0), size, 2.5);
            if let Some(rect) = places.into_iter().find(|r| is_within(r) && taken.is_free(*r)) {
                taken.take(rect);
                points.push((rect, label.as_str()));
            }
        }
        Labels { placed, lost, points }
    }

    fn paint(&self, canvas: &mut Canvas<'_>) -> f64 {
        if !self.has_ground {
            return 0.0;
        }
        for (row, shape) in &self.zones {
            let zone = &self.rows.zones[*row];
            let readout = table::zone(zone, self.words);
            let d = outline(&shape.rings);
            let says = Says { kind: "zone", readout: &readout, rows: &[*row], id: &zone.id };
            canvas.ground_mark(says, ground::bounds(&shape.rings[0]), &d, |canvas| {
                canvas.tint(&d, Ink::After, 0.1);
                canvas.path(&d, None, Some(Stroke::solid(Ink::Text, 1.4)));
            });
        }
        for (index, shape) in self.strips.iter().enumerate() {
            let strip = &self.rows.strips[index];
            let readout = table::strip(strip, self.words);
            let d = outline(&shape.rings);
            let row = self.rows.zones.len() + index;
            let says = Says { kind: "strip", readout: &readout, rows: &[row], id: &strip.id };
            canvas.ground_mark(says, ground::bounds(&shape.rings[0]), &d, |canvas| {
                canvas.tint(&d, ink_of(strip.role), 0.14);
                canvas.path(&d, None, Some(stroke_of(strip.role)));
            });
        }
        let labels = self.labels();
        let bottom = self.paint_lost(canvas, &labels.lost);
        self.paint_points(canvas);
        for (shape, lines, place) in &labels.placed {
            match place {
                Place::Level(rect) => {
                    write_lines(canvas, &shape.lines[..*lines], *rect, Anchor::Middle);
                }
                Place::Along(turned) => {
                    let (words, font, ink) = &shape.lines[0];
                    canvas.turned_text(turned, words, *font, *ink);
                }
            }
        }
        for (rect, label) in &labels.points {
            canvas.halo_text((rect.x, rect.y), Anchor::Start, label, SMALL, Ink::Text);
        }
        bottom.max(self.bottom)
    }

    /// Labels that found no room stand at the right, each with a line to its outline.
    fn paint_lost(&self, canvas: &mut Canvas<'_>, lost: &[(&Outlined, (f64, f64))]) -> f64 {
        let mut lost: Vec<&(&Outlined, (f64, f64))> = lost.iter().collect();
        lost.sort_by(|a, b| a.1.1.total_cmp(&b.1.1));
        let wanted: Vec<(f64, f64)> = lost
            .iter()
            .map(|(shape, anchor)| {
                let height = size_of(&shape.lines).height + 6.0;
                (anchor.1 - height / 2.0, height)
            })
            .collect();
        let left = self.room.width + 20.0;
        let mut bottom = 0.0_f64;
        for ((shape, anchor), (top, (_, height))) in
            lost.iter().zip(labels::spread(&wanted, 0.0).into_iter().zip(&wanted))
        {
            let rect = Rect { x: left, y: top, width: self.width - left, height: *height };
            let y = top + NAME.line_height() / 2.0;
            let stroke = Stroke::solid(Ink::Soft, 1.0);
            let elbow = (left - 12.0, y);
            canvas.path(&mark::polyline(&[*anchor, elbow, (left - 4.0, y)]), None, Some(stroke));
            canvas.path(&mark::circle(anchor.0, anchor.1, 1.8), Some(Ink::Soft), None);
            write_lines(canvas, &shape.lines, rect, Anchor::Start);
            bottom = bottom.max(top + height);
        }
        bottom
    }

    fn paint_points(&self, canvas: &mut Canvas<'_>) {
        let before = self.rows.zones.len() + self.rows.strips.len();
        for (index, core) in self.rows.cores.iter().enumerate() {
            let (x, y) = self.ground.at(core.at);
            let readout = table::core(core, self.words);
            let (shape, ink) = core_look(&core.fate);
            let says =
                Says { kind: "core", readout: &readout, rows: &[before + index], id: &core.id };
            canvas.mark(says, Rect::around(x, y, HALF - 1.0), |canvas| {
                mark::draw(canvas, shape, x, y, ink);
            });
        }
        let before = before + self.rows.cores.len();
        for (index, photo) in self.rows.photos.iter().enumerate() {
            let (x, y) = self.ground.at(photo.at);
            let readout = table::photo(photo, self.words);
            let says =
                Says { kind: "photo", readout: &readout, rows: &[before + index], id: &photo.id };
            canvas.mark(says, Rect::around(x, y, HALF), |canvas| {
                if let Some(bearing) = photo.facing {
                    let [a, b, c, d] = view(&self.ground, (x, y), bearing);
                    canvas.line(a, b, Stroke::solid(Ink::Soft, 1.3));
                    canvas.line(c, d, Stroke::solid(Ink::Soft, 1.3));
                }
                mark::draw(canvas, Shape::Camera, x, y, Ink::Text);
            });
        }
    }
}

/// Where the labels went.
struct Labels<'p> {
    /// With how many of their lines.
    placed: Vec<(&'p Outlined, usize, Place)>,
    /// Those without room, with the point their line runs to.
    lost: Vec<(&'p Outlined, (f64, f64))>,
    points: Vec<(Rect, &'p str)>,
}

/// How an outline's label may be placed.
#[derive(Debug, Clone, Copy)]
enum Way {
    Inside,
    Along,
    Beside,
}

/// Where a label went.
#[derive(Debug, Clone)]
enum Place {
    Level(Rect),
    Along(Turned),
}

/// Outlines whose surroundings meet another's.
fn near<'p>(others: impl Iterator<Item = &'p Outlined>, shape: &Outlined) -> Vec<&'p Outlined> {
    const REACH: f64 = 160.0;
    let own = ground::bounds(&shape.rings[0]);
    let is_near = |other: &&Outlined| {
        let other = ground::bounds(&other.rings[0]);
        other.x <= own.x + own.width + REACH
            && own.x <= other.x + other.width + REACH
            && other.y <= own.y + own.height + REACH
            && own.y <= other.y + other.height + REACH
    };
    others.filter(is_near).collect()
}

fn place_one<'p>(
    shape: &'p Outlined,
    taken: &mut Taken,
    placed: &mut Vec<(&'p Outlined, usize, Place)>,
    lost: &mut Vec<(&'p Outlined, (f64, f64))>,
    right: f64,
    goes: impl Fn(&Rect) -> bool,
) {
    let is_free = |taken: &Taken, rect: &Rect| goes(rect) && taken.is_free(*rect);
    let around = ground::bounds(&shape.rings[0]);
    // All lines inside, else the first alone inside, else along it, else above or below.
    let whole = shape.lines.len();
    let ways = [(whole, Way::Inside), (1, Way::Inside), (1, Way::Along), (whole, Way::Beside)];
    for (lines, way) in ways.into_iter().chain([(1, Way::Beside)]) {
        let size = size_of(&shape.lines[..lines]);
        if size.width <= 0.0 {
            return;
        }
        let found = match way {
            Way::Inside => labels::inside(&shape.rings, size)
                .find(|rect| is_free(taken, rect))
                .map(Place::Level),
            Way::Along => labels::along(&shape.rings, size)
                .filter(|turned| turned.places.iter().all(|place| is_free(taken, place)))
                .map(Place::Along),
            Way::Beside => labels::beside(around, size, 4.0)
                .into_iter()
                .skip(1)
                .take(2)
                .map(|rect| Rect { x: rect.x.min(right - rect.width).max(0.0), ..rect })
                .find(|rect| is_free(taken, rect))
                .map(Place::Level),
        };
        if let Some(place) = found {
            match &place {
                Place::Level(rect) => taken.take(*rect),
                Place::Along(turned) => turned.places.iter().for_each(|rect| taken.take(*rect)),
            }
            placed.push((shape, lines, place));
            return;
        }
    }
    // A small box finds a point well inside; failing that, a corner will do.
    let dot = Size { width: 5.0, height: 5.0 };
    let point = labels::inside(&shape.rings, dot).find(|rect| taken.is_free(*rect));
    let anchor = point.map_or(shape.rings[0][0], |rect| (rect.x + 2.5, rect.y + 2.5));
    lost.push((shape, anchor));
}

pub(super) fn size_of(lines: &[(String, Font, Ink)]) -> Size {
    let lines = lines.iter().filter(|(line, _, _)| !line.is_empty());
    lines.fold(Size { width: 0.0, height: 0.0 }, |size, (line, font, _)| Size {
        width: size.width.max(text::width(line, *font)),
        height: size.height + font.line_height(),
    })
}

pub(super) fn write_lines(
    canvas: &mut Canvas<'_>,
    lines: &[(String, Font, Ink)],
    rect: Rect,
    anchor: Anchor,
) {
    let x = if anchor == Anchor::Middle { rect.x + rect.width / 2.0 } else { rect.x };
    let mut y = rect.y;
    for (line, font, ink) in lines.iter().filter(|(line, _, _)| !line.is_empty()) {
        let line = text::fit(line, *font, rect.width + 0.01);
        canvas.text((x, y), anchor, &line, *font, *ink);
        y += font.line_height();
    }
}

fn outline(rings: &Rings) -> String {
    rings.iter().map(|ring| mark::polygon(ring)).collect()
}

pub(super) const fn ink_of(role: Track) -> Ink {
    match role {
        Track::Whole => Ink::Text,
        Track::Treated => Ink::After,
        Track::Control => Ink::Control,
    }
}

/// A treated strip has a whole edge, a control a broken one.
pub(super) const fn stroke_of(role: Track) -> Stroke {
    match role {
        Track::Whole | Track::Treated => Stroke::solid(ink_of(role), 1.6),
        Track::Control => Stroke::dashed(ink_of(role), 1.6, "5 3"),
    }
}

pub(super) const fn core_look(fate: &CoreFate) -> (Shape, Ink) {
    match fate {
        CoreFate::Planned => (Shape::OpenCircle, Ink::Text),
        CoreFate::Kept => (Shape::FilledCircle, Ink::Text),
        CoreFate::SetAside { .. } => (Shape::Cross, Ink::Before),
    }
}

/// Two short lines that open towards where a camera looks: the ends of one, then of the other.
fn view(ground: &Ground, at: (f64, f64), bearing: f64) -> [(f64, f64); 4] {
    const FROM: f64 = 8.0;
    const REACH: f64 = 17.0;
    const HALF_ANGLE: f64 = 24.0;
    [(-HALF_ANGLE, FROM), (-HALF_ANGLE, REACH), (HALF_ANGLE, FROM), (HALF_ANGLE, REACH)].map(
        |(side, reach)| {
            let (dx, dy) = ground.towards(bearing + side);
            (at.0 + dx * reach, at.1 + dy * reach)
        },
    )
}
