//! One browser: wishes in, news out.

use std::sync::mpsc::{SyncSender, TrySendError};
use std::time::Duration;

use axum::extract::ws::{Message, WebSocket};
use tokio::sync::watch;
use tokio::time::timeout;

use super::bench;
use super::state::{Sent, State};
use super::wish;

/// A browser that takes nothing for so long is gone.
const PATIENCE: Duration = Duration::from_secs(10);

/// Serves one browser until either side ends it.
pub async fn serve(
    mut socket: WebSocket,
    mut state: watch::Receiver<State>,
    wishes: SyncSender<bench::Message>,
) {
    let mut sent = Sent::default();
    state.mark_changed();
    loop {
        let message = tokio::select! {
            changed = state.changed() => {
                if changed.is_err() {
                    break;
                }
                // Cloned: the cell must not stay locked while this browser takes its time.
                let latest = state.borrow_and_update().clone();
                sent.news(&latest)
            }
            received = socket.recv() => match received {
                Some(Ok(Message::Text(text))) => answer(&text, &wishes),
                Some(Ok(Message::Ping(_) | Message::Pong(_))) => None,
                Some(Ok(Message::Binary(_))) => Some(refusal("wishes are text")),
                Some(Ok(Message::Close(_)) | Err(_)) | None => break,
            },
        };
        let Some(message) = message else {
            continue;
        };
        match timeout(PATIENCE, socket.send(Message::text(message))).await {
            Ok(Ok(())) => {}
            Ok(Err(_)) | Err(_) => break,
        }
    }
}

/// Passes a wish on; what cannot be passed on is told to the browser alone.
fn answer(text: &str, wishes: &SyncSender<bench::Message>) -> Option<String> {
    let wish = match wish::read(text) {
        Ok(wish) => wish,
        Err(why) => return Some(refusal(&why)),
    };
    match wishes.try_send(bench::Message::Wish(wish)) {
        Ok(()) => None,
        Err(TrySendError::Full(_)) => Some(refusal("too many wishes at once")),
        Err(TrySendError::Disconnected(_)) => Some(refusal("the bench has stopped")),
    }
}

fn refusal(why: &str) -> String {
    serde_json::json!({ "refused": why }).to_string()
}
