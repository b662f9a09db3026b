//! Who may talk to the desk: pages that came from it, and programs on the same machine.
//!
//! A name that a stranger controls can be made to point at loopback; the browser then sends that
//! name as `Host`, and it is refused. A page from elsewhere can open a WebSocket or send a form
//! to loopback; the browser then sends where that page came from as `Origin`, and it is refused.
//! A program without a browser sends no `Origin`: it could claim any, so nothing is gained by
//! asking it for one.

use axum::http::header::{HOST, HeaderMap, HeaderName, ORIGIN};

/// The names under which the desk is reached.
const NAMES: [&str; 3] = ["127.0.0.1", "localhost", "[::1]"];

/// Why a request is refused, in words for whoever looks at the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stranger {
    /// `Host` is missing, twofold, or not a name of loopback with this port.
    Host,
    /// `Origin` is not a page of this desk.
    Origin,
}

impl Stranger {
    /// What to tell.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Host => "this desk answers to 127.0.0.1, localhost and [::1] only\n",
            Self::Origin => "this desk takes wishes from its own page only\n",
        }
    }
}

/// Checks the headers of a request to the desk on `port`.
///
/// # Errors
/// [`Stranger`].
pub fn check(headers: &HeaderMap, port: u16) -> Result<(), Stranger> {
    let host = only(headers, &HOST).ok_or(Stranger::Host)?;
    if !is_ours(host, port) {
        return Err(Stranger::Host);
    }
    if !headers.contains_key(ORIGIN) {
        return Ok(());
    }
    only(headers, &ORIGIN)
        .and_then(|origin| origin.strip_prefix("http://"))
        .filter(|host| is_ours(host, port))
        .map(|_| ())
        .ok_or(Stranger::Origin)
}

/// The value of a header that stands there once.
fn only<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    let mut values = headers.get_all(name).iter();
    let value = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(value)
}

fn is_ours(host: &str, port: u16) -> bool {
    NAMES.iter().any(|name| {
        let rest = host
            .get(..name.len())
            .filter(|start| start.eq_ignore_ascii_case(name))
            .and_then(|_| host.get(name.len()..));
        match rest {
            // A browser leaves the usual port of the web out.
            Some("") => port == 80,
            Some(rest) => rest.strip_prefix(':') == Some(port.to_string().as_str()),
            None => false,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const PORT: u16 = 8123;

    fn headers(pairs: &[(HeaderName, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(name.clone(), value.parse().unwrap());
        }
        headers
    }

    #[test]
    fn loopback_is_let_in() {
        for host in [
            "127.0.0.1:8123",
            "localhost:8123",
            "LocalHost:8123",
            "[::1]:8123",
        ] {
            assert_eq!(check(&headers(&[(HOST, host)]), PORT), Ok(()), "{host}");
            let origin = format!("http://{host}");
            let both = headers(&[(HOST, host), (ORIGIN, &origin)]);
            assert_eq!(check(&both, PORT), Ok(()), "{origin}");
        }
        assert_eq!(check(&headers(&[(HOST, "localhost")]), 80), Ok(()));
    }

    #[test]
    fn rebound_names_are_refused() {
        for host in [
            "example.com:8123",
            "127.0.0.1",
            "127.0.0.1:8124",
            "127.0.0.1.example.com:8123",
            "localhost.example.com:8123",
            "127.0.0.1:81230",
            "127.0.0.1:8123.example.com",
            "xlocalhost:8123",
            "",
        ] {
            let refused = Err(Stranger::Host);
            assert_eq!(check(&headers(&[(HOST, host)]), PORT), refused, "{host}");
        }
        assert_eq!(check(&headers(&[]), PORT), Err(Stranger::Host));
        let twofold = headers(&[(HOST, "localhost:8123"), (HOST, "example.com:8123")]);
        assert_eq!(check(&twofold, PORT), Err(Stranger::Host));
    }

    #[test]
    fn pages_from_elsewhere_are_refused() {
        for origin in [
            "http://example.com",
            "https://127.0.0.1:8123",
            "http://127.0.0.1:8124",
            "http://localhost:8123.example.com",
            "null",
            "",
        ] {
            let pair = headers(&[(HOST, "localhost:8123"), (ORIGIN, origin)]);
            assert_eq!(check(&pair, PORT), Err(Stranger::Origin), "{origin}");
        }
    }
}
