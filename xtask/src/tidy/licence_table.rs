//! The licences that a library may come under, as data; `.deny.toml` says the same.

/// Licences that let the program be passed on under its own.
pub(super) const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Packages let in under another licence, each with the reason.
pub(super) const EXCEPTIONS: &[(&str, &str, &str)] = &[];
