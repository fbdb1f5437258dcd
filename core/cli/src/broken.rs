//! What is said when the program itself breaks.
//!
//! A damaged notebook may break the database's library, which the store turns into a refusal with a
//! remedy; that must not fill the screen.
//! So nothing is printed when something breaks, only when it reaches the end of the program.

use std::{
    panic::{self, AssertUnwindSafe},
    process::ExitCode,
    sync::{Mutex, PoisonError},
};

static LAST: Mutex<String> = Mutex::new(String::new());

/// Ends with this when the program itself broke.
const BROKEN: u8 = 101;

/// Runs the program; when it breaks, says where.
pub(crate) fn guarded(program: impl FnOnce() -> ExitCode) -> ExitCode {
    panic::set_hook(Box::new(|broken| {
        *LAST.lock().unwrap_or_else(PoisonError::into_inner) = broken.to_string();
    }));
    panic::catch_unwind(AssertUnwindSafe(program)).unwrap_or_else(|_| {
        let last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
        crate::print::err(&format!(
            "swardbook broke, which is an error of its own: {last}\nWhat was acknowledged before is \
             on the disk.\n"
        ));
        ExitCode::from(BROKEN)
    })
}
