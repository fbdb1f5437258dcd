//! The photos of a notebook: keeping, sorting, measuring, and what they say over time.
//!
//! What is in a file is `photo`'s; here files become observations of a zone, and measurements
//! become records beside them.

mod add;
mod asked;
mod export;
mod kept;
mod list;
mod many;
mod measure;
mod occasion;
mod outlines;
mod pair;
mod pictures;
mod printed;
mod redo;
mod series;
mod shown;
mod sort;

pub(crate) use add::add_photos;
pub use add::{AddPhotos, PhotoToAdd, PhotosAdded, SkippedPhoto};
pub use asked::CardAsked;
pub use export::{ExportPhoto, ExportedPhoto};
pub use list::{ListPhotos, PhotoLine, PhotoRef, PhotoView};
pub(crate) use many::measure_many;
pub use many::{MeasureMany, MeasuredMany, NotMeasured, PhotoMeasured, Says};
pub use measure::{MeasureFile, MeasurePhoto, measure_file};
pub use occasion::{DifferenceView, OccasionView, RepeatabilityView};
pub use pair::{PairRequest, PairSide, PairView};
pub use pictures::{PicturesMade, PicturesRequest};
pub use printed::{ChartRequest, SlateRequest, WrittenFiles, write_chart};
pub use redo::RedoView;
pub use series::{GrowthWeek, SeriesLineView, SeriesRequest, SeriesView};
pub(crate) use series::{Quantity, growth_bars};
pub use shown::{MeasuredValue, MeasurementView, QualityLine};
pub(crate) use sort::sort_photos;
pub use sort::{SortPhotos, SortedPhoto, SortedPhotos};
