//! The picture of a replayed trace.

use std::fs;
use std::path::PathBuf;

use pennyweight_core::{Event, Instant};
use pennyweight_sim::commands::names::Names;
use pennyweight_sim::commands::plot::{COURSE_MAX, MARKS_MAX, Plot, Weighed};

use super::pennyweight;

fn trace(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "data", "trace", name]
        .iter()
        .collect()
}

/// A file that is gone when the test is over.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let name = format!("pennyweight-{}-{name}", std::process::id());
        Self(std::env::temp_dir().join(name))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _gone = fs::remove_file(&self.0);
    }
}

/// The names of the elements, closed in the order in which they were opened, with attributes in
/// quotes and text without bare markup: well-formed in the sense of XML 1.0, 2.1, for documents
/// without declarations, comments and sections.
pub(super) fn elements(xml: &str) -> Vec<String> {
    let mut open: Vec<String> = Vec::new();
    let mut all = Vec::new();
    let mut rest = xml;
    while let Some(begin) = rest.find('<') {
        check_text(&rest[..begin]);
        assert!(!open.is_empty() || rest[..begin].trim().is_empty());
        assert!(!open.is_empty() || all.is_empty(), "one root");
        let end = begin + rest[begin..].find('>').expect("a closed tag");
        let tag = &rest[begin + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
            continue;
        }
        let whole = tag.strip_suffix('/').unwrap_or(tag);
        let (name, attributes) = whole.split_once(' ').unwrap_or((whole, ""));
        assert!(name.chars().all(|letter| letter.is_ascii_alphanumeric()));
        let parts: Vec<&str> = attributes.split('"').collect();
        assert_eq!(parts.len() % 2, 1, "quotes in pairs: {tag}");
        for pair in parts.chunks_exact(2) {
            assert!(pair[0].trim().ends_with('='), "{tag}");
            assert!(!pair[1].contains('<'), "{tag}");
            check_text(pair[1]);
        }
        all.push(name.to_owned());
        if !tag.ends_with('/') {
            open.push(name.to_owned());
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "{open:?} {rest}");
    all
}

fn check_text(text: &str) {
    for after in text.split('&').skip(1) {
        let known = ["amp;", "lt;", "gt;", "quot;"];
        assert!(known.iter().any(|name| after.starts_with(name)), "{text}");
    }
    assert!(!text.contains(|letter: char| letter.is_control() && !letter.is_whitespace()));
}

#[test]
fn every_event_of_a_trace_is_in_its_picture() {
    let picture = Scratch::new("events.svg");
    for name in ["rail.csv", "overload.csv", "jitter.csv"] {
        let output = pennyweight()
            .args(["replay", "--target-g", "28"])
            .arg(trace(name))
            .arg("--plot")
            .arg(&picture.0)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert!(output.stderr.is_empty(), "no bar where nobody looks");
        let svg = fs::read_to_string(&picture.0).unwrap();
        assert!(elements(&svg).len() > 30);
        let told = String::from_utf8(output.stdout).unwrap();
        let mut events = 0;
        for line in told.lines().filter(|line| line.contains(" s  ")) {
            let (at, words) = line.split_once(" s  ").unwrap();
            let words: Vec<&str> = words.split_whitespace().collect();
            let title = format!("<title>{} s: {}</title>", at.trim(), words.join(" "));
            assert!(svg.contains(&title), "{title}");
            events += 1;
        }
        assert_eq!(svg.matches("class=\"event\"").count(), events, "{name}");
        for class in ["codes", "reading", "flow"] {
            let drawn = format!("class=\"{class}\"");
            assert_eq!(svg.matches(&drawn).count(), 1, "{class}");
        }
    }
}

#[test]
fn a_long_trace_gives_a_bounded_picture() {
    // Ten hours at 320 conversions a second, with an event every other second.
    let mut plot = Plot::new("long & <wide> \u{1}");
    for index in 0..320 * 36_000_u32 {
        let t_s = f64::from(index) / 320.0;
        plot.weigh(Weighed {
            t_s,
            code_g: 300.0 + t_s.sin() + f64::from(index % 7),
            reading_g: 300.0 + t_s.sin(),
            flow_g_s: t_s.cos(),
        });
        if index % 640 == 0 {
            let at = Instant::from_micros((t_s * 1e6) as u64);
            plot.mark(at, &Event::Bumped, &Names::default());
        }
    }
    let svg = plot.picture("").to_string();
    elements(&svg);
    assert_eq!(svg.matches("class=\"event\"").count(), MARKS_MAX);
    assert!(svg.contains("17600 events"), "what is left out is said");
    let points: usize = svg
        .split("points=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().split(' ').count())
        .sum();
    assert!(points > 2 * COURSE_MAX && points <= 4 * COURSE_MAX);
    assert!(svg.len() < 200_000, "{}", svg.len());
}

#[test]
fn a_picture_of_one_conversion_or_of_none_has_no_odd_number() {
    let mut plot = Plot::new("short");
    let empty = plot.picture("").to_string();
    plot.weigh(Weighed {
        t_s: 0.0,
        code_g: f64::NAN,
        reading_g: 0.0,
        flow_g_s: 0.0,
    });
    for svg in [empty, plot.picture("").to_string()] {
        elements(&svg);
        assert!(!svg.contains("inf"), "{svg}");
    }
}

#[test]
fn a_picture_that_cannot_be_written_ends_with_code_2() {
    let output = pennyweight()
        .arg("replay")
        .arg(trace("quiet.csv"))
        .args(["--plot", "no/such/folder/out.svg"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        complaint.contains("--plot no/such/folder/out.svg"),
        "{complaint}"
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_ends_with_code_1() {
    let output = pennyweight()
        .arg("replay")
        .arg(trace("quiet.csv"))
        .args(["--plot", "/dev/full"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    assert!(String::from_utf8_lossy(&output.stderr).contains("/dev/full"));
}

#[test]
fn an_empty_trace_leaves_no_picture() {
    let (empty, picture) = (Scratch::new("empty.csv"), Scratch::new("empty.svg"));
    let head = "# counts_per_gram=420\n# zero_code=0\nt_us,code\n";
    fs::write(&empty.0, head).unwrap();
    let output = pennyweight()
        .arg("replay")
        .arg(&empty.0)
        .arg("--plot")
        .arg(&picture.0)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(!picture.0.exists());
}

#[test]
fn a_picture_never_overwrites_its_trace() {
    let copy = Scratch::new("copy.csv");
    fs::copy(trace("quiet.csv"), &copy.0).unwrap();
    let output = pennyweight()
        .arg("replay")
        .arg(&copy.0)
        .arg("--plot")
        .arg(&copy.0)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let kept = fs::read(&copy.0).unwrap();
    assert_eq!(kept, fs::read(trace("quiet.csv")).unwrap());
}
