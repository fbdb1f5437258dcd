//! The device's network key: it lies outside what is copied and backed up.

use std::path::Path;

use iroh::SecretKey;

use crate::{LinkError, link::random};

const KEY: &str = "network-key";

/// The device's network key, made at first use.
pub(crate) fn read_key(folder: &Path) -> Result<SecretKey, LinkError> {
    if let Some(key) = own_key(folder)? {
        return Ok(key);
    }
    let key = SecretKey::from_bytes(&random()?);
    write_key(&folder.join(KEY), &key.to_bytes()).map_err(LinkError::Key)?;
    Ok(key)
}

/// The device's network key, if it has been made.
pub(crate) fn own_key(folder: &Path) -> Result<Option<SecretKey>, LinkError> {
    match std::fs::read(folder.join(KEY)) {
        Ok(bytes) => {
            let bytes: [u8; 32] = bytes.try_into().map_err(|_| {
                LinkError::Key(std::io::Error::new(std::io::ErrorKind::InvalidData, "length"))
            })?;
            Ok(Some(SecretKey::from_bytes(&bytes)))
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(LinkError::Key(error)),
    }
}

fn write_key(path: &Path, key: &[u8]) -> std::io::Result<()> {
    use std::io::Write as _;
    let part = path.with_extension("part");
    let mut options = std::fs::File::options();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&part)?;
    file.write_all(key)?;
    file.sync_all()?;
    std::fs::rename(part, path)
}
