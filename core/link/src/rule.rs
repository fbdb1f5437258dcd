//! What this device keeps of photos and papers, as it is written down and told.

use swardbook_journal::sync::KeepRule;
use swardbook_store::Store;

use crate::{LinkError, tables::OWN};

/// Where the rule stands.
pub(crate) const RULE: &[u8] = b"keep";

/// What this device keeps of files, by its notebook, which may be open for reading only.
///
/// # Errors
/// [`LinkError::Store`]
pub fn kept_rule(store: &Store) -> Result<KeepRule, LinkError> {
    Ok(store.get_local(OWN, RULE)?.as_deref().map_or(KeepRule::All, read_rule))
}

pub(crate) const fn write_rule(rule: KeepRule) -> &'static [u8] {
    match rule {
        KeepRule::All => b"all",
        KeepRule::OwnUntilOffice => b"own",
        KeepRule::Previews => b"previews",
    }
}

pub(crate) fn read_rule(row: &[u8]) -> KeepRule {
    match row {
        b"own" => KeepRule::OwnUntilOffice,
        b"previews" => KeepRule::Previews,
        // In doubt nothing is let go.
        _ => KeepRule::All,
    }
}
