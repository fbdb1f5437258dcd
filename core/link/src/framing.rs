//! Frames on a stream: the length in as few bytes as it takes, then as many bytes, and never more
//! than agreed.

use iroh::endpoint::{RecvStream, SendStream};
use swardbook_journal::sync::{Malformed, frame_length};

use crate::LinkError;

/// Sends one frame.
pub(crate) async fn send(stream: &mut SendStream, frame: &[u8]) -> Result<(), LinkError> {
    // One write, so that a short frame goes out in one packet.
    let mut bytes = frame_length(frame.len());
    bytes.extend_from_slice(frame);
    stream.write_all(&bytes).await.map_err(|_| LinkError::Lost)
}

/// Receives one frame; none when the stream ended between two.
///
/// # Errors
/// [`LinkError::Malformed`] for a length over `limit`, before room is made for it.
pub(crate) async fn receive(
    stream: &mut RecvStream,
    limit: usize,
) -> Result<Option<Vec<u8>>, LinkError> {
    let mut byte = [0];
    match stream.read(&mut byte).await {
        Ok(Some(_)) => {}
        Ok(None) => return Ok(None),
        Err(_) => return Err(LinkError::Lost),
    }
    let (mut length, mut place) = (usize::from(byte[0] & 0x7f), 7);
    while byte[0] >= 0x80 {
        stream.read_exact(&mut byte).await.map_err(|_| LinkError::Lost)?;
        length |= usize::from(byte[0] & 0x7f) << place;
        place += 7;
        if length > limit || place > 28 {
            return Err(Malformed("a frame is too long").into());
        }
    }
    if length > limit {
        return Err(Malformed("a frame is too long").into());
    }
    let mut frame = vec![0; length];
    stream.read_exact(&mut frame).await.map_err(|_| LinkError::Lost)?;
    Ok(Some(frame))
}
