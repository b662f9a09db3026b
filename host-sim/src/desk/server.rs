//! The server: the page, the socket, the sheet and the record, on loopback only.

use std::io;
use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::sync::{Arc, Mutex};
use std::thread;

use axum::Router;
use axum::extract::ws::WebSocketUpgrade;
use axum::extract::{DefaultBodyLimit, Request, State as With};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderValue,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get, post};
use pennyweight_core::spec::SheetError;
use pennyweight_core::spec::limits::SHEET_TEXT_MAX;
use tokio::net::TcpListener;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::{Semaphore, watch};

use super::bench::{self, BenchPlan, Board, Message};
use super::page::{FILES, POLICY, PageFile};
use super::record::Record;
use super::state::{Part, State};
use super::told::{self, DeskTold};
use super::{guard, socket, wish};
use crate::commands::cautions::CAUTIONS;
use crate::plant::Table;
use crate::session::bar_of;
use crate::sheet::{self, HouseSheet};

/// Browsers at once.
pub const BROWSERS_MAX: usize = 16;

/// The type a sheet is sent as. No form of a strange page can send it.
pub const SHEET_KIND: &str = "application/toml";

/// The port that is tried first where none is asked for.
pub const USUAL_PORT: u16 = 7413;

/// A desk that is ready to be opened.
pub struct Desk {
    runtime: Runtime,
    listeners: Vec<TcpListener>,
    port: u16,
    shared: Shared,
}

/// What every request may use.
#[derive(Clone)]
struct Shared {
    port: u16,
    seed: u64,
    wishes: SyncSender<Message>,
    state: watch::Receiver<State>,
    record: Arc<Mutex<Record>>,
    browsers: Arc<Semaphore>,
}

impl Desk {
    /// Takes the port and starts the bench. Without `port` the usual one is taken, or any that
    /// is free.
    ///
    /// # Errors
    /// The port is taken, or the system gives none.
    pub fn open(house: HouseSheet, plan: BenchPlan, port: Option<u16>) -> io::Result<Self> {
        let runtime = Builder::new_current_thread().enable_all().build()?;
        let listeners = runtime.block_on(listen(port))?;
        let first = listeners.first().ok_or(io::ErrorKind::AddrNotAvailable)?;
        let port = first.local_addr()?.port();
        let (wishes, waiting) = sync_channel(bench::WAITING_MAX);
        let (state, seen) = watch::channel(first_state());
        let record = Arc::new(Mutex::new(Record::default()));
        let board = Board {
            state,
            record: Arc::clone(&record),
        };
        // The thread ends when the last sender of wishes is gone, and with it the desk.
        thread::Builder::new()
            .name("bench".to_owned())
            .spawn(move || bench::keep(house, plan, &waiting, &board))?;
        Ok(Self {
            runtime,
            listeners,
            port,
            shared: Shared {
                port,
                seed: plan.seed,
                wishes,
                state: seen,
                record,
                browsers: Arc::new(Semaphore::new(BROWSERS_MAX)),
            },
        })
    }

    /// The port it listens on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Serves until the process ends or a listener fails.
    ///
    /// # Errors
    /// A listener that fails.
    pub fn serve(self) -> io::Result<()> {
        let router = router(self.shared);
        self.runtime.block_on(async move {
            let mut servers = tokio::task::JoinSet::new();
            for listener in self.listeners {
                let router = router.clone();
                servers.spawn(async move { axum::serve(listener, router).await });
            }
            match servers.join_next().await {
                Some(Ok(ended)) => ended,
                Some(Err(error)) => Err(io::Error::other(error)),
                None => Ok(()),
            }
        })
    }
}

/// Listeners on both addresses of loopback, where the machine has both.
async fn listen(asked: Option<u16>) -> io::Result<Vec<TcpListener>> {
    let bind = async |port| TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port))).await;
    let first = match asked {
        Some(port) => bind(port).await?,
        None => match bind(USUAL_PORT).await {
            Ok(listener) => listener,
            Err(_) => bind(0).await?,
        },
    };
    let port = first.local_addr()?.port();
    let second = TcpListener::bind(SocketAddr::from((Ipv6Addr::LOCALHOST, port))).await;
    Ok([Some(first), second.ok()].into_iter().flatten().collect())
}

fn first_state() -> State {
    let mut state = State::new();
    let desk = DeskTold {
        run: std::time::SystemTime::now()
            .duration_since(std::time::UNIX_EPOCH)
            .map_or(0, |since| since.as_secs()),
        sounds: told::sounds(),
        panel: (
            pennyweight_core::panel::WIDTH,
            pennyweight_core::panel::HEIGHT,
        ),
        cautions: CAUTIONS,
    };
    if let Ok(json) = serde_json::to_string(&desk) {
        state.put(Part::Desk, json);
    }
    state
}

fn router(shared: Shared) -> Router {
    let mut router = Router::new();
    for file in FILES {
        router = router.route(file.path, get(move || async move { page_file(file) }));
    }
    router
        .route("/socket", any(open_socket))
        .route("/sheet", post(take_sheet))
        .route("/record.csv", get(record_csv))
        .layer(DefaultBodyLimit::max(SHEET_TEXT_MAX))
        .layer(middleware::from_fn_with_state(shared.clone(), guarded))
        .with_state(shared)
}

/// Lets nobody in but loopback, and says on every answer what its page may do.
async fn guarded(With(shared): With<Shared>, request: Request, next: Next) -> Response {
    let mut response = match guard::check(request.headers(), shared.port) {
        Ok(()) => next.run(request).await,
        Err(stranger) => (StatusCode::FORBIDDEN, stranger.words()).into_response(),
    };
    let headers = response.headers_mut();
    let says = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        // The page belongs to the program that runs; a stored one may belong to another.
        (CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in says {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

fn page_file(file: &PageFile) -> Response {
    ([(CONTENT_TYPE, file.kind)], file.text).into_response()
}

async fn open_socket(With(shared): With<Shared>, upgrade: WebSocketUpgrade) -> Response {
    let Ok(place) = Arc::clone(&shared.browsers).try_acquire_owned() else {
        return (StatusCode::SERVICE_UNAVAILABLE, "too many browsers\n").into_response();
    };
    upgrade
        .max_message_size(wish::WISH_BYTES_MAX)
        .max_frame_size(wish::WISH_BYTES_MAX)
        .on_upgrade(move |opened| async move {
            socket::serve(opened, shared.state, shared.wishes).await;
            drop(place);
        })
}

/// Takes a sheet: the bench works from it from now on, or every mistake is answered. Mistakes are
/// what was asked for, no failure of the asking.
async fn take_sheet(With(shared): With<Shared>, headers: HeaderMap, text: String) -> Response {
    let kind = headers
        .get(CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok());
    if kind != Some(SHEET_KIND) {
        return (
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            format!("a sheet is sent as {SHEET_KIND}\n"),
        )
            .into_response();
    }
    let house = match sheet::parse(&text, "your sheet") {
        Ok(house) => house,
        Err(mistakes) => {
            return json_answer(&serde_json::json!({ "mistakes": mistakes }));
        }
    };
    let drinks = house.drinks().len();
    if let Err(error) = is_workable(&house, shared.seed) {
        return json_answer(&serde_json::json!({ "refused": error.to_string() }));
    }
    match shared.wishes.try_send(Message::Sheet(Box::new(house))) {
        Ok(()) => json_answer(&serde_json::json!({ "drinks": drinks })),
        Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "the bench is busy\n").into_response(),
    }
}

fn is_workable(house: &HouseSheet, seed: u64) -> Result<(), SheetError> {
    bar_of(&house.sheet()?, &Table::nominal(), seed).map(|_| ())
}

async fn record_csv(With(shared): With<Shared>) -> Response {
    // Cloned: the bench must not wait for the text.
    let record = shared.record.lock().map(|record| record.clone());
    match record {
        Ok(record) => (
            [
                (CONTENT_TYPE, "text/csv; charset=utf-8"),
                (
                    CONTENT_DISPOSITION,
                    "attachment; filename=\"pennyweight-record.csv\"",
                ),
            ],
            record.csv(),
        )
            .into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

fn json_answer(body: &serde_json::Value) -> Response {
    ([(CONTENT_TYPE, "application/json")], body.to_string()).into_response()
}
