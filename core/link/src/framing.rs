//! Frames on a stream: four bytes of length, then as many bytes, and never more than agreed.

use iroh::endpoint::{RecvStream, SendStream};

use crate::LinkError;

/// Sends one frame.
pub(crate) async fn send(stream: &mut SendStream, frame: &[u8]) -> Result<(), LinkError> {
    let length = u32::try_from(frame.len()).expect("a frame is shorter than four milliards");
    // One write, so that a short frame goes out in one packet.
    let mut bytes = Vec::with_capacity(4 + frame.len());
    bytes.extend_from_slice(&length.to_le_bytes());
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
    let mut length = [0; 4];
    match stream.read(&mut length[..1]).await {
        Ok(Some(_)) => {}
        Ok(None) => return Ok(None),
        Err(_) => return Err(LinkError::Lost),
    }
    stream.read_exact(&mut length[1..]).await.map_err(|_| LinkError::Lost)?;
    let length = usize::try_from(u32::from_le_bytes(length)).unwrap_or(usize::MAX);
    if length > limit {
        return Err(swardbook_journal::sync::Malformed("a frame is too long").into());
    }
    let mut frame = vec![0; length];
    stream.read_exact(&mut frame).await.map_err(|_| LinkError::Lost)?;
    Ok(Some(frame))
}
