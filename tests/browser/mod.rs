//! A headless Chromium that is started once and shows one page after another.
//!
//! It is driven by the Chrome DevTools Protocol, an open protocol that is published with its
//! methods: JSON messages over two pipes, each ended by a zero byte. Few methods are used:
//!
//! - `Target.createTarget`, `Target.attachToTarget`: an empty page, and a session to talk to it.
//! - `Page.navigate`, and of its events `Page.lifecycleEvent`: shows a file, and says when all of it
//!   is there.
//! - `Runtime.evaluate`: runs a script in the page, and gives what comes of it.
//! - `Emulation.setDeviceMetricsOverride`: how wide and high the window is.
//! - `Emulation.setEmulatedMedia`: whether the reader likes it dark.
//! - `Page.printToPDF`: the page on paper, as `--print-to-pdf` prints it.
//! - `Browser.close`: the end.
//!
//! No answer is waited for without an end: a browser that is late fails the test and is killed.

use std::io::{BufRead as _, BufReader, Read, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::{Value as Json, json};

/// How long one answer may take. Most are there in a tenth of a second; the machine may be busy.
const PATIENCE: Duration = Duration::from_secs(120);

/// Chromium under one of its names, where there is one.
pub fn installed() -> Option<String> {
    let names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];
    let own = std::env::var("CHROMIUM").ok();
    let mut all = own.into_iter().chain(names.map(str::to_owned));
    // The pipes are laid by a shell.
    all.find(|name| answers(name, "--version")).filter(|_| cfg!(unix))
}

/// Whether a program is there and answers a question.
pub fn answers(program: &str, question: &str) -> bool {
    Command::new(program).arg(question).output().is_ok_and(|output| output.status.success())
}

/// A browser with one page. It goes away with this value.
pub struct Browser {
    process: Child,
    /// Where it listens; `None` once it was told to end.
    commands: Option<ChildStdin>,
    /// What it says, read by a thread of its own so that waiting has an end.
    messages: Receiver<Json>,
    /// What it said since it was last asked, besides the answer.
    missed: Vec<Json>,
    sent: u64,
    /// The page; empty before there is one.
    session: String,
    /// What the browser keeps of itself.
    _profile: tempfile::TempDir,
}

impl Browser {
    pub fn start(chromium: &str) -> Browser {
        let profile = tempfile::tempdir().expect("a folder for the browser");
        let mut command = Command::new("sh");
        // The browser listens on descriptor 3 and talks on 4; they are our ends of its standard
        // input and output.
        command.args(["-c", "exec \"$0\" \"$@\" 3<&0 4>&1 </dev/null >/dev/null", chromium]);
        command.args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"]);
        command.arg("--remote-debugging-pipe");
        command.arg(format!("--user-data-dir={}", profile.path().display()));
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut process = command.spawn().expect("the browser starts");
        let commands = process.stdin.take();
        let messages = listen(process.stdout.take().expect("what it says"));
        let mut browser = Browser {
            process,
            commands,
            messages,
            missed: Vec::new(),
            sent: 0,
            session: String::new(),
            _profile: profile,
        };
        let page = browser.ask("Target.createTarget", json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": page["targetId"], "flatten": true });
        let attached = browser.ask("Target.attachToTarget", attach);
        browser.session = attached["sessionId"].as_str().expect("a session").to_owned();
        browser.ask("Page.enable", json!({}));
        browser.ask("Page.setLifecycleEventsEnabled", json!({ "enabled": true }));
        browser
    }

    /// Shows a file, and waits until all of it is there.
    pub fn show(&mut self, file: &Path) {
        let file = file.canonicalize().expect("the page is there");
        let url = format!("file://{}", file.display());
        let shown = self.ask("Page.navigate", json!({ "url": url }));
        assert!(shown["errorText"].is_null(), "{url}: {shown}");
        let loaded = |message: &Json| {
            let event = &message["params"];
            message["method"] == "Page.lifecycleEvent"
                && event["name"] == "load"
                && event["loaderId"] == shown["loaderId"]
        };
        if !self.missed.iter().any(loaded) {
            self.wait(loaded, &url);
        }
    }

    /// The window, in pixels.
    pub fn resize(&mut self, (wide, high): (u32, u32)) {
        let size = json!({
            "width": wide, "height": high, "deviceScaleFactor": 1, "mobile": false
        });
        self.ask("Emulation.setDeviceMetricsOverride", size);
    }

    /// Whether the reader likes dark pages.
    pub fn darken(&mut self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        let features = json!([{ "name": "prefers-color-scheme", "value": value }]);
        self.ask("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// What a script finds in the page: a list of words.
    pub fn look(&mut self, script: &str) -> Vec<String> {
        let looking = json!({ "expression": script, "returnByValue": true });
        let seen = self.ask("Runtime.evaluate", looking);
        let found = seen["result"]["value"].as_array();
        let found = found.unwrap_or_else(|| panic!("the page was not looked at: {seen}"));
        found.iter().map(|one| one.as_str().expect("words").to_owned()).collect()
    }

    /// Prints the page that is shown, on the paper that it asks for, without the tags for those who have
    /// pages read to them, which take a fifth of the time and change nothing of what is on paper.
    pub fn print(&mut self, pdf: &Path) {
        let printing = json!({ "preferCSSPageSize": true, "printBackground": true, "generateTaggedPDF": false });
        let printed = self.ask("Page.printToPDF", printing);
        let data = printed["data"].as_str().expect("a PDF");
        let bytes = data_encoding::BASE64.decode(data.as_bytes()).expect("base64");
        std::fs::write(pdf, bytes).expect("a file for the PDF");
    }

    /// Asks the page, or the browser where there is no page yet, and waits for the answer.
    fn ask(&mut self, method: &str, parameters: Json) -> Json {
        self.send(method, parameters).expect("the browser listens");
        self.missed.clear();
        let number = self.sent;
        let answer = self.wait(|message| message["id"] == number, method);
        assert!(answer["error"].is_null(), "{method}: {answer}");
        answer["result"].clone()
    }

    fn send(&mut self, method: &str, parameters: Json) -> std::io::Result<()> {
        self.sent += 1;
        let mut message = json!({ "id": self.sent, "method": method, "params": parameters });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        let mut bytes = message.to_string().into_bytes();
        bytes.push(0);
        let commands = self.commands.as_mut().ok_or(std::io::ErrorKind::BrokenPipe)?;
        commands.write_all(&bytes).and_then(|()| commands.flush())
    }

    /// The next message of a kind.
    fn wait(&mut self, is_wanted: impl Fn(&Json) -> bool, what: &str) -> Json {
        let end = Instant::now() + PATIENCE;
        loop {
            let left = end.saturating_duration_since(Instant::now());
            let message = self.messages.recv_timeout(left);
            let message =
                message.unwrap_or_else(|why| panic!("waited for {what} of the browser: {why}"));
            if is_wanted(&message) {
                return message;
            }
            self.missed.push(message);
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        self.session.clear();
        let told = self.send("Browser.close", json!({}));
        self.commands = None;
        // It takes away its own processes and files where it has the time.
        let end = Instant::now() + Duration::from_secs(5);
        while told.is_ok() && Instant::now() < end {
            if !matches!(self.process.try_wait(), Ok(None)) {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Reads message after message until the browser is gone.
fn listen(from: impl Read + Send + 'static) -> Receiver<Json> {
    let (give, take) = channel();
    std::thread::spawn(move || {
        let mut from = BufReader::new(from);
        let mut bytes = Vec::new();
        while from.read_until(0, &mut bytes).is_ok_and(|read| read > 0) {
            let message = serde_json::from_slice(bytes.strip_suffix(&[0]).unwrap_or(&bytes));
            if !message.is_ok_and(|message| give.send(message).is_ok()) {
                break;
            }
            bytes.clear();
        }
    });
    take
}
