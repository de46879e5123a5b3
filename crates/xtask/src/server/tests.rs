//! What the server answers, asked over a plain socket: media types, policy, and nothing from outside its folder.

use super::{POLICY, listen, serve};
use crate::run::root;
use std::path::PathBuf;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

/// A folder with a secret beside it; both go when the test ends.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let folder =
            std::env::temp_dir().join(format!("strungwell-serving-{name}-{}", std::process::id()));
        std::fs::create_dir_all(folder.join("dist/deep")).unwrap();
        for file in [
            "dist/index.html",
            "dist/start.js",
            "dist/a.wasm",
            "dist/style.css",
            "dist/data.json",
            "dist/icon.svg",
            "dist/app.webmanifest",
            "dist/deep/index.html",
            "secret.txt",
        ] {
            std::fs::write(folder.join(file), format!("this is {file}")).unwrap();
        }
        Self(folder)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The head (in small letters) and the body of an answer.
async fn ask(port: u16, path: &str) -> (String, String) {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).await.unwrap();
    let request = format!("GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await.unwrap();
    let (head, body) = answer.split_once("\r\n\r\n").unwrap();
    (head.to_lowercase(), body.to_owned())
}

async fn served(scratch: &Scratch) -> u16 {
    let listener = listen(0).await.unwrap();
    let port = listener.local_addr().unwrap().port();
    tokio::spawn(serve(listener, scratch.0.join("dist")));
    port
}

#[tokio::test]
async fn each_file_has_its_media_type_and_every_answer_the_policy() {
    let scratch = Scratch::new("types");
    let port = served(&scratch).await;
    for (path, media) in [
        ("/", "text/html"),
        ("/start.js", "text/javascript"),
        ("/a.wasm", "application/wasm"),
        ("/style.css", "text/css"),
        ("/data.json", "application/json"),
        ("/icon.svg", "image/svg+xml"),
        ("/app.webmanifest", "application/manifest+json"),
        ("/deep/", "text/html"),
    ] {
        let (head, body) = ask(port, path).await;
        assert!(head.starts_with("http/1.1 200 "), "{path}: {head}");
        assert!(
            head.contains(&format!("\r\ncontent-type: {media}")),
            "{path}: {head}"
        );
        assert!(body.starts_with("this is "), "{path}: {body}");
    }
    for path in ["/", "/start.js", "/there-is-no-such-file"] {
        let (head, _) = ask(port, path).await;
        for (name, value) in [
            ("content-security-policy", POLICY),
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cross-origin-opener-policy", "same-origin"),
            (
                "permissions-policy",
                "camera=(), geolocation=(), microphone=(self), payment=(), usb=()",
            ),
            ("cross-origin-resource-policy", "same-origin"),
        ] {
            let line = format!("\r\n{name}: {}", value.to_lowercase());
            assert!(head.contains(&line), "{path} lacks {name}: {head}");
        }
    }
}

#[tokio::test]
async fn nothing_outside_the_folder_is_given() {
    let scratch = Scratch::new("outside");
    let port = served(&scratch).await;
    for path in [
        "/../secret.txt",
        "/deep/../../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "//secret.txt",
        "/there-is-no-such-file",
    ] {
        let (head, body) = ask(port, path).await;
        assert!(!head.starts_with("http/1.1 200 "), "{path}: {head}");
        assert!(!body.contains("this is"), "{path}: {body}");
    }
}

#[tokio::test]
async fn a_taken_port_is_an_error_and_only_this_machine_is_served() {
    let listener = listen(0).await.unwrap();
    let at = listener.local_addr().unwrap();
    assert!(at.ip().is_loopback());
    assert!(listen(at.port()).await.is_err());
}

#[test]
fn the_page_carries_the_same_policy_as_the_header() {
    let page = std::fs::read_to_string(root().join("web/assets/index.html")).unwrap();
    let (sent, only_in_a_header) = POLICY.rsplit_once("; ").unwrap();
    assert_eq!(only_in_a_header, "frame-ancestors 'none'");
    assert!(page.contains(&format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"{sent}\">"
    )));
}

#[test]
fn the_page_needs_nothing_inline_and_no_place_of_its_own() {
    let page = std::fs::read_to_string(root().join("web/assets/index.html")).unwrap();
    for inline in ["<style", " style=", "<script>", " onload=", "javascript:"] {
        assert!(!page.contains(inline), "{inline}");
    }
    for part in page.split(&[' ', '>'][..]) {
        if let Some(address) = part
            .strip_prefix("href=\"")
            .or_else(|| part.strip_prefix("src=\""))
        {
            assert!(address.starts_with("./"), "{address} is not relative");
        }
    }
}
