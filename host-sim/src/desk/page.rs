//! The page: files of our own hand, part of the program.

/// A file of the page.
#[derive(Clone, Copy, Debug)]
pub struct PageFile {
    /// The path it is asked for under.
    pub path: &'static str,
    /// What it is.
    pub kind: &'static str,
    /// Its text.
    pub text: &'static str,
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";

macro_rules! files {
    ($($path:literal, $kind:expr, $file:literal;)*) => {
        /// Every file of the page.
        pub const FILES: &[PageFile] = &[
            $(PageFile {
                path: $path,
                kind: $kind,
                text: include_str!(concat!("page/", $file)),
            },)*
            // To come back to, and to begin one's own from.
            PageFile {
                path: "/demo.toml",
                kind: "text/plain; charset=utf-8",
                text: crate::sheet::DEMO,
            },
        ];
    };
}

files! {
    "/", HTML, "index.html";
    "/colours.css", CSS, "colours.css";
    "/layout.css", CSS, "layout.css";
    "/parts.css", CSS, "parts.css";
    "/main.js", JS, "main.js";
    "/bench.js", JS, "bench.js";
    "/dom.js", JS, "dom.js";
    "/glasses.js", JS, "glasses.js";
    "/link.js", JS, "link.js";
    "/minute.js", JS, "minute.js";
    "/panel.js", JS, "panel.js";
    "/record.js", JS, "record.js";
    "/round.js", JS, "round.js";
    "/sheet.js", JS, "sheet.js";
    "/shelf.js", JS, "shelf.js";
    "/sounder.js", JS, "sounder.js";
    "/strip-draw.js", JS, "strip-draw.js";
    "/strip.js", JS, "strip.js";
    "/theme.js", JS, "theme.js";
}

/// What the page may do: run and show what came from this server, and talk to it. No script or
/// style in the text of a page, nothing from elsewhere, no frame around it.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    connect-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_written_into_the_page_that_the_policy_forbids() {
        for file in FILES.iter().filter(|file| file.path != "/demo.toml") {
            let text = file.text;
            for wrong in [
                "http://",
                "https://",
                " style=\"",
                "onclick=",
                "innerHTML",
                "eval(",
                "<style",
            ] {
                // The names of SVG's own words are addresses that nobody asks for.
                let text = text.replace("http://www.w3.org/", "");
                assert!(!text.contains(wrong), "{} has {wrong}", file.path);
            }
            assert!(text.lines().count() <= 500, "{} is too long", file.path);
        }
    }

    #[test]
    fn every_file_that_is_named_is_there() {
        // What the server answers otherwise than with a file.
        const ANSWERED: [&str; 3] = ["/record.csv", "/sheet", "/socket"];
        for file in FILES {
            for (at, _) in file.text.match_indices("\"./") {
                let name = file.text[at + 2..].split('"').next().unwrap();
                assert!(
                    FILES.iter().any(|other| other.path == name) || ANSWERED.contains(&name),
                    "{} names {name}",
                    file.path
                );
            }
        }
    }
}
