//! What the server answers to whom.

use super::served::Served;

fn get(served: &Served, path: &str, headers: &str) -> String {
    let request = format!("GET {path} HTTP/1.1\r\n{headers}Connection: close\r\n\r\n");
    served.raw(request.as_bytes())
}

fn status(answer: &str) -> &str {
    answer.split(' ').nth(1).unwrap_or("none")
}

#[test]
fn only_loopback_is_answered() {
    let served = Served::start();
    let port = served.port;
    let ours = format!("Host: 127.0.0.1:{port}\r\n");
    let page = get(&served, "/", &ours);
    assert_eq!(status(&page), "200", "{page}");
    let policy = "content-security-policy: default-src 'none'; script-src 'self'";
    assert!(page.contains(policy), "{page}");
    assert!(!page.contains("unsafe-inline"), "{page}");

    // A name made to point at loopback, and a page from elsewhere.
    let rebound = format!("Host: bar.example:{port}\r\n");
    for path in ["/", "/main.js", "/record.csv", "/socket"] {
        assert_eq!(status(&get(&served, path, &rebound)), "403", "{path}");
        let strange = format!("{ours}Origin: http://bar.example\r\n");
        assert_eq!(status(&get(&served, path, &strange)), "403", "{path}");
    }
    assert_eq!(status(&get(&served, "/no-such-file", &ours)), "404");
}

#[test]
fn a_taken_port_is_a_failed_run() {
    let served = Served::start();
    let output = crate::edges::pennyweight()
        .args(["desk", "--port", &served.port.to_string()])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains(&format!("port {}", served.port)), "{told}");
}

fn post(served: &Served, path: &str, kind: &str, text: &str) -> String {
    let request = format!(
        "POST {path} HTTP/1.1\r\nHost: localhost:{}\r\nContent-Type: {kind}\r\n\
         Content-Length: {}\r\nConnection: close\r\n\r\n{text}",
        served.port,
        text.len()
    );
    served.raw(request.as_bytes())
}

#[test]
fn a_sheet_is_taken_or_its_mistakes_are_told() {
    let served = Served::start();
    let good = "[liquid.rye]\nabv = 50\n[[drink]]\nname = \"One\"\nvessel = \"rocks\"\n\
        build = [\"20 ml rye\"]\n";
    let answer = post(&served, "/sheet", "application/toml", good);
    assert!(answer.ends_with("{\"drinks\":1}"), "{answer}");
    let answer = post(
        &served,
        "/sheet",
        "application/toml",
        "[[drink]]\nname = 3\n",
    );
    assert!(answer.contains("\"mistakes\":[{"), "{answer}");
    assert!(answer.contains("\"line\":2,"), "{answer}");
    // What a form of a strange page can send.
    assert_eq!(status(&post(&served, "/sheet", "text/plain", good)), "415");
}

#[test]
fn a_sheet_is_bounded_before_it_is_read() {
    let served = Served::start();
    let answer = post(
        &served,
        "/sheet",
        "application/toml",
        &"#".repeat(1024 * 1024 + 1),
    );
    assert_eq!(status(&answer), "413", "{answer}");
    // And the desk goes on.
    let ours = format!("Host: 127.0.0.1:{}\r\n", served.port);
    assert_eq!(status(&get(&served, "/", &ours)), "200");
}

fn flight_of(variants: &str) -> String {
    serde_json::json!({
        "drink": "Slow Ledger", "changes": "50 ml rye", "variants": variants,
        "batch": true, "blind": true,
    })
    .to_string()
}

#[test]
fn a_flight_is_taken_or_its_mistakes_are_told() {
    let served = Served::start();
    let json = "application/json";
    let answer = post(
        &served,
        "/flight",
        json,
        &flight_of("40 ml rye\n50 ml nothing"),
    );
    assert!(answer.contains("\"mistakes\":[{"), "{answer}");
    assert!(answer.contains("\"line\":2,"), "{answer}");
    let answer = post(&served, "/flight", json, &flight_of("40/45/50 ml rye"));
    assert!(answer.ends_with("{\"glasses\":3}"), "{answer}");
    for (kind, flight, refused) in [
        // What a form of a strange page can send.
        ("text/plain", flight_of("40/50 ml rye"), "415"),
        (json, "{}".to_owned(), "400"),
        (json, flight_of(&"40 ml rye\n".repeat(1000)), "413"),
    ] {
        let answer = post(&served, "/flight", kind, &flight);
        assert_eq!(status(&answer), refused, "{answer}");
    }
}
