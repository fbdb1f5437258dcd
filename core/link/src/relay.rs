//! Whether the relay that the person named answers.

use std::time::Duration;

use iroh::{Endpoint, Watcher, endpoint::RelayStatus};

/// A relay that has been silent for so long is said to be; it takes a few seconds to be reached.
const PATIENCE: Duration = Duration::from_secs(10);

/// Tells when the relay is silent, and when it answers again, for as long as the endpoint is open.
pub(crate) async fn watch(endpoint: &Endpoint, tell: impl Fn(bool)) -> Option<()> {
    let mut status = endpoint.home_relay_status();
    loop {
        match tokio::time::timeout(PATIENCE, until(&mut status, true)).await {
            Ok(answers) => answers?,
            Err(_) => {
                tell(false);
                until(&mut status, true).await?;
                tell(true);
            }
        }
        until(&mut status, false).await?;
    }
}

/// Waits until it answers, or does not; none when the endpoint is closed.
async fn until(status: &mut impl Watcher<Value = Vec<RelayStatus>>, answers: bool) -> Option<()> {
    while status.get().iter().any(RelayStatus::is_connected) != answers {
        status.updated().await.ok()?;
    }
    Some(())
}
