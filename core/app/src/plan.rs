//! The plan: what a panel asks for, which materials bring it, in how many visits, and what to buy.
//!
//! Choosing the cheapest combination of materials and visits belongs in a crate of its own; here
//! every purpose has one material, named by rule or by the person.

mod calcium;
mod draft;
mod ground;
mod kept;
mod lime;
mod needs;
mod packs;
mod purchase;
mod visits;

pub use calcium::CalciumView;
pub use draft::{PlanDraft, PlanRequest};
pub use kept::{AcceptRequest, ItemChange, KeptItem, PlanRef, PlanView};
pub use lime::{LimeAnswerView, LimeView};
pub use needs::NeedView;
pub use packs::{PacksRequest, PacksView};
pub use purchase::PurchaseView;
pub use visits::VisitView;
