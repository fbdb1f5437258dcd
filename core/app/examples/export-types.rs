//! Writes the TypeScript side of the border into a folder.

use std::{fs, path::PathBuf};

fn main() -> std::io::Result<()> {
    let folder = PathBuf::from(
        std::env::args_os()
            .nth(1)
            .ok_or_else(|| std::io::Error::other("name the folder to write into"))?,
    );
    fs::create_dir_all(&folder)?;
    fs::write(folder.join("types.ts"), swardbook_app::type_declarations())
}
