//! A browser with an empty profile on one page of an example packet; on closing, its log must be clean.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::actions::{
    Actions, InputSource, KeyAction, KeyActions, MouseActions, PointerAction, WheelAction, WheelActions,
};
use fantoccini::elements::Element;
use fantoccini::wd::{Capabilities, WebDriverCompatibleCommand};
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

/// The process that drives the browser; ends with its page.
struct Driver(Child);

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// An open page.
pub struct Page {
    client: Client,
    _driver: Driver,
    _profile: tempfile::TempDir,
}

/// Entries of one of the browser's logs; the command is the driver's own, not of the WebDriver standard.
#[derive(Debug)]
struct Log(&'static str);

impl WebDriverCompatibleCommand for Log {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/se/log", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(json!({"type": self.0}).to_string()))
    }
}

impl Page {
    /// Opens `index.html` of the committed packet `example`, with `address` behind it.
    pub async fn open(example: &str, address: &str) -> Page {
        let top = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap();
        let file = top.join("out-examples").join(example).join("index.html");
        assert!(file.is_file(), "{} is missing", file.display());
        let mut child = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts");
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let driver = Driver(child);
        let port = loop {
            let line = lines.next().expect("chromedriver names its port").unwrap();
            if let Some((_, rest)) = line.split_once("on port ")
                && line.contains("successfully")
            {
                break rest.trim_end_matches('.').to_owned();
            }
        };
        // What it says later is nobody's, but the pipe must not fill.
        std::thread::spawn(move || lines.for_each(drop));
        let profile = tempfile::tempdir().unwrap();
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(capabilities(profile.path().to_str().unwrap()))
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .expect("a browser session");
        client.set_window_size(1400, 1000).await.unwrap();
        client.goto(&format!("file://{}{address}", file.display())).await.unwrap();
        Page { client, _driver: driver, _profile: profile }
    }

    async fn element(&self, css: &str) -> Element {
        self.client.find(Locator::Css(css)).await.unwrap_or_else(|e| panic!("{css}: {e}"))
    }

    /// Runs a script in the page.
    pub async fn run(&self, script: &str) -> Value {
        self.run_with(script, vec![]).await
    }

    /// Runs a script with arguments.
    pub async fn run_with(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.client.execute(script, arguments).await.unwrap_or_else(|e| panic!("{script}: {e}"))
    }

    /// What an element says.
    pub async fn text(&self, css: &str) -> String {
        self.element(css).await.text().await.unwrap()
    }

    /// Puts the pointer on an element, scrolled into view.
    pub async fn rest_on(&self, css: &str) {
        let element = self.element(css).await;
        self.run_with(
            "document.querySelector(arguments[0]).scrollIntoView({block: 'center', inline: 'center'})",
            vec![json!(css)],
        )
        .await;
        let middle = PointerAction::MoveToElement { element, duration: None, x: 0.0, y: 0.0 };
        self.client.perform_actions(MouseActions::new("mouse".into()).then(middle)).await.unwrap();
    }

    /// Puts the pointer on a drawn line, a third of the way along it.
    pub async fn rest_on_line(&self, css: &str) {
        let script = "const line = document.querySelector(arguments[0]);
            line.scrollIntoView({block: 'center', inline: 'center'});
            const at = line.getPointAtLength(line.getTotalLength() / 3).matrixTransform(line.getScreenCTM());
            return [Math.round(at.x), Math.round(at.y)]";
        let at = self.run_with(script, vec![json!(css)]).await;
        let (x, y) = (at[0].as_f64().unwrap(), at[1].as_f64().unwrap());
        let there = PointerAction::MoveTo { duration: None, x, y };
        self.client.perform_actions(MouseActions::new("mouse".into()).then(there)).await.unwrap();
    }

    /// Puts the pointer on a spot of the window, in pixels, and does `then` with the main button there.
    pub async fn at(&self, x: f64, y: f64, then: &[PointerAction]) {
        let mut mouse =
            MouseActions::new("mouse".into()).then(PointerAction::MoveTo { duration: None, x, y });
        for action in then {
            mouse = mouse.then(action.clone());
        }
        self.client.perform_actions(mouse).await.unwrap();
    }

    /// Turns the wheel towards the user or away, with Ctrl held down or without.
    pub async fn wheel(&self, x: i64, y: i64, delta_y: i64, ctrl: bool) {
        let turn = WheelAction::Scroll { duration: None, x, y, delta_x: 0, delta_y };
        let wheel = WheelActions::new("wheel".into())
            .then(WheelAction::Pause { duration: Duration::ZERO })
            .then(turn);
        let key = if ctrl {
            KeyAction::Down { value: '\u{e009}' }
        } else {
            KeyAction::Pause { duration: Duration::ZERO }
        };
        let keys = KeyActions::new("keys".into()).then(key);
        self.client.perform_actions(Actions::from(keys).and(wheel)).await.unwrap();
        self.client.release_actions().await.unwrap();
    }

    /// Goes back in the browser's history.
    pub async fn back(&self) {
        self.client.back().await.unwrap();
    }

    /// Clicks an element.
    pub async fn click(&self, css: &str) {
        self.element(css).await.click().await.unwrap_or_else(|e| panic!("{css}: {e}"));
    }

    /// Types into a field.
    pub async fn type_into(&self, css: &str, text: &str) {
        self.element(css).await.send_keys(text).await.unwrap();
    }

    /// Presses a key, by its code in the WebDriver standard (section 17.4.2), where the focus is.
    pub async fn press(&self, key: &str) {
        self.client.active_element().await.unwrap().send_keys(key).await.unwrap();
    }

    /// Loads the page anew.
    pub async fn reload(&self) {
        self.client.refresh().await.unwrap();
    }

    /// Saves what is seen into the folder that `PICTURES` names, if it is set, for a person to look at.
    async fn picture(&self) {
        let name = std::thread::current().name().unwrap_or("page").to_owned();
        if let Some(folder) = std::env::var_os("PICTURES") {
            let file = PathBuf::from(folder).join(name).with_extension("png");
            std::fs::write(file, self.client.screenshot().await.unwrap()).unwrap();
        }
    }

    /// Ends the session. Nothing may have gone over the network and nothing may have been complained of.
    pub async fn close(self) {
        self.picture().await;
        let said = self.client.issue_cmd(Log("browser")).await.unwrap();
        assert_eq!(said, json!([]), "the console is not clean");
        let happened = self.client.issue_cmd(Log("performance")).await.unwrap();
        let mut loaded = 0;
        for entry in happened.as_array().unwrap() {
            let message: Value = serde_json::from_str(entry["message"].as_str().unwrap()).unwrap();
            let asked = message.pointer("/message/params");
            let text = |path| asked.and_then(|a| a.pointer(path)).and_then(Value::as_str);
            // What the browser asks for its own empty tab is not the page's doing.
            let ours = text("/documentURL").is_some_and(|from| from.starts_with("file://"));
            if let (true, Some(url)) = (ours, text("/request/url")) {
                assert!(url.starts_with("file://") || url.starts_with("data:"), "asked for {url}");
                loaded += 1;
            }
        }
        assert!(loaded >= 1, "the log holds at least the page itself");
        self.client.clone().close().await.unwrap();
    }
}

fn capabilities(profile: &str) -> Capabilities {
    let profile = format!("--user-data-dir={profile}");
    let arguments = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        profile.as_str(),
    ];
    let wanted = json!({
        "browserName": "chrome",
        "goog:chromeOptions": {"args": arguments},
        "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"},
    });
    wanted.as_object().unwrap().clone()
}
