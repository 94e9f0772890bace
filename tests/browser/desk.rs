//! A browser at the app: what a person finds, does and reads there.
//!
//! Lookups wait for what they look for; actions are real pointer and key
//! events; nothing reaches into the app's state.

use std::cell::RefCell;
use std::env;
use std::fs;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;
use thirtyfour::{Capabilities, WebDriver};

/// How long a person waits before something is broken.
const PATIENCE: Duration = Duration::from_secs(20);
const POLL: Duration = Duration::from_millis(40);

/// Stops the program when the test ends, whichever way.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        self.0.kill().ok();
        self.0.wait().ok();
    }
}

/// One browser with the app open.
pub struct Desk {
    pub driver: WebDriver,
    pub address: String,
    folder: tempfile::TempDir,
    server: RefCell<Option<Running>>,
    chromedriver: (Running, u16),
    capabilities: Capabilities,
}

/// What is different from the usual browser.
#[derive(Debug, Clone, Default)]
pub struct Special {
    /// Words for its command line.
    pub args: Vec<String>,
    /// Its settings.
    pub prefs: Vec<(&'static str, Value)>,
    /// Words for the server.
    pub serve: Vec<String>,
}

/// What the surroundings must provide; `cargo xtask test` does.
pub fn given(name: &str) -> Result<PathBuf> {
    let value = env::var_os(name).with_context(|| {
        format!("{name} is not set: run this through `cargo xtask test`, which sets it")
    })?;
    Ok(PathBuf::from(value))
}

/// Held both at a time, so that they differ.
fn free_ports() -> Result<[u16; 2]> {
    let held = [
        TcpListener::bind("127.0.0.1:0")?,
        TcpListener::bind("127.0.0.1:0")?,
    ];
    Ok([held[0].local_addr()?.port(), held[1].local_addr()?.port()])
}

impl Desk {
    /// Opens the app in a window of that size.
    pub async fn open(width: u32, height: u32, light: &str) -> Result<Self> {
        Self::open_served_from(&given("OPHRYON_APP")?, width, height, light).await
    }

    /// The same with the program open to a network, for which the loopback
    /// address stands.
    pub async fn open_to_a_network(width: u32, height: u32, light: &str) -> Result<Self> {
        let [port, _] = free_ports()?;
        let more = ["--studio", "--studio-address", "127.0.0.1", "--studio-port"];
        let mut serve = more.map(str::to_owned).to_vec();
        serve.push(port.to_string());
        let special = Special {
            serve,
            ..Special::default()
        };
        Self::open_special(&given("OPHRYON_APP")?, (width, height), light, &special).await
    }

    /// Another device, with nothing on it, that visits this address; its owner
    /// goes on past the warning about the certificate.
    pub async fn visitor(address: &str, width: u32, height: u32, light: &str) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let [driver_port, _] = free_ports()?;
        let chromedriver = driver_at(driver_port)?;
        let usual = Special::default();
        let mut capabilities = capabilities(folder.path(), (width, height), light, &usual)?;
        capabilities.set("acceptInsecureCerts", true)?;
        let driver = session(driver_port, capabilities.clone()).await?;
        driver.goto(address).await?;
        Ok(Self {
            driver,
            address: address.to_owned(),
            folder,
            server: RefCell::new(None),
            chromedriver: (chromedriver, driver_port),
            capabilities,
        })
    }

    /// The same with the app's files from another folder.
    pub async fn open_served_from(
        app: &Path,
        width: u32,
        height: u32,
        light: &str,
    ) -> Result<Self> {
        Self::open_special(app, (width, height), light, &Special::default()).await
    }

    /// The same in a browser that is not the usual one.
    pub async fn open_special(
        app: &Path,
        size: (u32, u32),
        light: &str,
        special: &Special,
    ) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let [port, driver_port] = free_ports()?;
        let server = Command::new(given("OPHRYON_BIN")?)
            .args([
                "serve",
                "--no-open",
                "--port",
                &port.to_string(),
                "--assets",
            ])
            .arg(app)
            .args(&special.serve)
            .stdout(Stdio::null())
            .spawn()
            .context("the server can't be started")?;
        let server = Running(server);
        let chromedriver = driver_at(driver_port)?;
        let capabilities = capabilities(folder.path(), size, light, special)?;
        let driver = session(driver_port, capabilities.clone()).await?;
        let address = format!("http://127.0.0.1:{port}/");
        let desk = Self {
            driver,
            address: address.clone(),
            folder,
            server: RefCell::new(Some(server)),
            chromedriver: (chromedriver, driver_port),
            capabilities,
        };
        desk.driver.goto(&address).await?;
        desk.find("home").await?;
        Ok(desk)
    }

    /// Opens the browser anew, as it was opened before, at the first screen.
    pub async fn open_again(&mut self) -> Result<()> {
        self.start_again().await?;
        self.find("home").await?;
        Ok(())
    }

    /// The same wherever it opens.
    pub async fn start_again(&mut self) -> Result<()> {
        self.driver = session(self.chromedriver.1, self.capabilities.clone()).await?;
        self.driver.goto(&self.address).await?;
        Ok(())
    }

    /// Stops the app's server, as where the network ends.
    pub fn stop_server(&self) -> Result<()> {
        // Dropped, it is stopped.
        self.server.borrow_mut().take();
        Ok(())
    }

    /// Waits until the whole app is kept on this device.
    pub async fn is_kept(&self) -> Result<()> {
        let script = "const done = arguments[0];
            navigator.serviceWorker.ready.then(() => done(true));";
        let patience = tokio::time::timeout(
            PATIENCE,
            self.driver.execute_async(script, Vec::<Value>::new()),
        );
        patience.await.context("the app was never kept whole")??;
        Ok(())
    }

    /// The element of that test id, once it is there.
    pub async fn find(&self, id: &str) -> Result<WebElement> {
        let by = By::Css(format!("[data-testid=\"{id}\"]"));
        let begun = Instant::now();
        loop {
            if let Ok(found) = self.driver.find(by.clone()).await {
                return Ok(found);
            }
            if begun.elapsed() > PATIENCE {
                self.photograph(&format!("missing-{id}")).await.ok();
                bail!("nothing on the screen is “{id}”");
            }
            tokio::time::sleep(POLL).await;
        }
    }

    pub async fn is_there(&self, id: &str) -> bool {
        self.driver
            .find(By::Css(format!("[data-testid=\"{id}\"]")))
            .await
            .is_ok()
    }

    pub async fn click(&self, id: &str) -> Result<()> {
        let begun = Instant::now();
        loop {
            let why = match self.find(id).await?.click().await {
                Ok(()) => return Ok(()),
                Err(why) => why,
            };
            // It may be re-drawn, or still sliding into place.
            if begun.elapsed() > PATIENCE {
                bail!("“{id}” can't be pressed: {why}");
            }
            tokio::time::sleep(POLL).await;
        }
    }

    /// Replaces what a field holds and leaves it by Enter.
    pub async fn enter(&self, id: &str, text: &str) -> Result<()> {
        let field = self.find(id).await?;
        field.click().await?;
        field.send_keys(Key::Control + "a").await?;
        field.send_keys(text).await?;
        field.send_keys(Key::Enter + "").await?;
        Ok(())
    }

    pub async fn text(&self, id: &str) -> Result<String> {
        Ok(self.find(id).await?.text().await?)
    }

    /// Waits until the words of `id` contain `words`.
    pub async fn reads(&self, id: &str, words: &str) -> Result<String> {
        let begun = Instant::now();
        loop {
            // Empty where it was re-drawn in between.
            let text = self.find(id).await?.text().await.unwrap_or_default();
            if text.contains(words) {
                return Ok(text);
            }
            if begun.elapsed() > PATIENCE {
                self.photograph(&format!("reading-{id}")).await.ok();
                bail!("“{id}” reads “{text}”, not “{words}”");
            }
            tokio::time::sleep(POLL).await;
        }
    }

    /// Waits until something is there.
    pub async fn until<T>(
        &self,
        else_say: &str,
        look: impl AsyncFn() -> Result<Option<T>>,
    ) -> Result<T> {
        let begun = Instant::now();
        loop {
            if let Some(found) = look().await? {
                return Ok(found);
            }
            ensure!(begun.elapsed() < PATIENCE, "{else_say}");
            tokio::time::sleep(POLL).await;
        }
    }

    /// Waits until the words of `id` are others.
    pub async fn no_longer_reads(&self, id: &str, words: &str) -> Result<()> {
        let begun = Instant::now();
        while self.find(id).await?.text().await.unwrap_or_default() == words {
            ensure!(
                begun.elapsed() < PATIENCE,
                "“{words}” was answered and still stands"
            );
            tokio::time::sleep(POLL).await;
        }
        Ok(())
    }

    /// How far a place of the work is, as its knot says.
    pub async fn state(&self, id: &str) -> Result<String> {
        let knot = self.find(id).await?;
        Ok(knot.attr("data-state").await?.unwrap_or_default())
    }

    /// Hands a file to a file chooser.
    pub async fn choose(&self, id: &str, file: &Path) -> Result<()> {
        let path = file.to_str().context("a path in UTF-8")?;
        Ok(self.find(id).await?.send_keys(path).await?)
    }

    /// Where a place of the photo (px) is on the screen.
    pub async fn on_screen(&self, px: [f64; 2]) -> Result<[f64; 2]> {
        let script = "const img = document.querySelector('[data-testid=photo]');
            const box = img.getBoundingClientRect();
            const wide = Number(img.getAttribute('width'));
            return [box.left + arguments[0] * box.width / wide,
                    box.top + arguments[1] * box.width / wide];";
        let place = self
            .driver
            .execute(script, vec![json!(px[0]), json!(px[1])])
            .await?;
        Ok(place.convert::<[f64; 2]>()?)
    }

    /// Presses and lets go on a place of the photo, once the view rests.
    pub async fn tap(&self, px: [f64; 2]) -> Result<()> {
        let mut place = self.on_screen(px).await?;
        loop {
            tokio::time::sleep(2 * POLL).await;
            let now = self.on_screen(px).await?;
            if now == place {
                break;
            }
            place = now;
        }
        let chain = self
            .driver
            .action_chain()
            .move_to(whole(place[0]), whole(place[1]));
        let tapped = chain.click_and_hold().release().perform().await;
        if tapped.is_err() {
            self.photograph("tap-out-of-view").await.ok();
        }
        Ok(tapped?)
    }

    /// Drags from the middle of an element by so many screen px.
    pub async fn drag(&self, id: &str, by: [i64; 2]) -> Result<()> {
        let rect = self.find(id).await?.rect().await?;
        let (x, y) = (
            whole(rect.x + 0.5 * rect.width),
            whole(rect.y + 0.5 * rect.height),
        );
        let mut chain = self.driver.action_chain().move_to(x, y).click_and_hold();
        for step in 1..=4 {
            chain = chain.move_to(x + by[0] * step / 4, y + by[1] * step / 4);
        }
        chain.release().perform().await?;
        Ok(())
    }

    /// Presses `id` and takes the file that it saves.
    pub async fn save(&self, id: &str) -> Result<Vec<u8>> {
        for old in fs::read_dir(self.folder.path())? {
            fs::remove_file(old?.path()).ok();
        }
        self.click(id).await?;
        let begun = Instant::now();
        loop {
            let files: Vec<PathBuf> = fs::read_dir(self.folder.path())?
                .flatten()
                .map(|entry| entry.path())
                .collect();
            let done = files.iter().find(|f| {
                f.extension()
                    .is_some_and(|e| e != "crdownload" && e != "tmp")
                    && !f
                        .file_name()
                        .is_some_and(|n| n.to_string_lossy().starts_with('.'))
            });
            if let (Some(file), 1) = (done, files.len()) {
                return Ok(fs::read(file)?);
            }
            ensure!(
                begun.elapsed() < PATIENCE,
                "“{id}” saved nothing: {files:?}"
            );
            tokio::time::sleep(POLL).await;
        }
    }

    /// Keeps a picture of the screen under target/screens, to be looked at.
    pub async fn photograph(&self, name: &str) -> Result<()> {
        let folder = given("OPHRYON_APP")?.with_file_name("screens");
        fs::create_dir_all(&folder)?;
        self.driver
            .screenshot(&folder.join(format!("{name}.png")))
            .await?;
        Ok(())
    }

    /// Everything the page fetched since it was opened.
    pub async fn fetched(&self) -> Result<Vec<String>> {
        let script = "return performance.getEntriesByType('resource').map(e => e.name);";
        Ok(self
            .driver
            .execute(script, Vec::<Value>::new())
            .await?
            .convert()?)
    }
}

fn driver_at(port: u16) -> Result<Running> {
    let driver = Command::new(given("CHROMEDRIVER")?)
        .arg(format!("--port={port}"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .context("the driver can't be started")?;
    Ok(Running(driver))
}

/// Screen px are whole for the driver.
fn whole(px: f64) -> i64 {
    px.round() as i64
}

fn capabilities(
    downloads: &Path,
    (width, height): (u32, u32),
    light: &str,
    special: &Special,
) -> Result<Capabilities> {
    let mut args = vec![
        "--headless=new".to_owned(),
        "--disable-gpu".to_owned(),
        "--disable-background-networking".to_owned(),
        "--disable-component-update".to_owned(),
        "--disable-sync".to_owned(),
        "--no-first-run".to_owned(),
        "--disable-dev-shm-usage".to_owned(),
        "--hide-scrollbars".to_owned(),
        format!("--window-size={width},{height}"),
    ];
    if light == "dark" {
        args.push("--force-dark-mode".to_owned());
    }
    if is_root() {
        args.push("--no-sandbox".to_owned());
    }
    args.extend(special.args.iter().cloned());
    let mut prefs = json!({
        "download.default_directory": downloads,
        "download.prompt_for_download": false,
    });
    for (name, value) in &special.prefs {
        prefs[*name] = value.clone();
    }
    let options = json!({
        "binary": given("CHROMIUM")?,
        "args": args,
        // The page's own size, whatever the window's frame takes.
        "mobileEmulation": { "deviceMetrics": {
            "width": width, "height": height, "pixelRatio": 1.0, "touch": false, "mobile": false,
        } },
        "prefs": prefs,
    });
    let mut capabilities = Capabilities::new();
    capabilities.set("browserName", "chrome")?;
    capabilities.set("goog:chromeOptions", options)?;
    Ok(capabilities)
}

/// Chromium refuses its sandbox to root.
fn is_root() -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    status.lines().any(|line| line.starts_with("Uid:\t0\t"))
}

/// The driver needs a moment after its start.
async fn session(port: u16, capabilities: Capabilities) -> Result<WebDriver> {
    let begun = Instant::now();
    loop {
        let address = format!("http://127.0.0.1:{port}");
        match WebDriver::new(address, capabilities.clone()).await {
            Ok(driver) => return Ok(driver),
            Err(why) if begun.elapsed() > PATIENCE => {
                bail!("the browser can't be started: {why}")
            }
            Err(_) => tokio::time::sleep(POLL).await,
        }
    }
}
