//! What is in the browser's own database, read and filled past the app.

use std::collections::BTreeMap;

use anyhow::{Context, Result};
use serde_json::{Value, json};

use crate::desk::Desk;

/// A client as the database has her: her record, and the SHA-256 of each of
/// her pictures by its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    pub record: Value,
    pub pictures: BTreeMap<String, String>,
}

const OPEN: &str = "
    const opened = () => new Promise((ok, no) => {
        const asked = indexedDB.open('ophryon');
        asked.onsuccess = () => ok(asked.result);
        asked.onerror = () => no(asked.error);
    });
    const got = (asked) => new Promise((ok, no) => {
        asked.onsuccess = () => ok(asked.result);
        asked.onerror = () => no(asked.error);
    });
    const hex = (buffer) => Array.from(new Uint8Array(buffer), (b) => b.toString(16).padStart(2, '0')).join('');
";

async fn run(desk: &Desk, body: &str, with: Vec<Value>) -> Result<Value> {
    let script = format!(
        "{OPEN} const done = arguments[arguments.length - 1]; const given = arguments;
        (async () => {{ {body} }})().then((v) => done({{ is: v ?? null }}), (e) => done({{ trouble: String(e) }}));"
    );
    let said = desk.driver.execute_async(&script, with).await?;
    let said: Value = said.convert()?;
    match said.get("trouble") {
        Some(why) => anyhow::bail!("the database: {why}"),
        None => Ok(said["is"].clone()),
    }
}

/// Everybody, by code.
pub async fn everybody(desk: &Desk) -> Result<BTreeMap<String, Kept>> {
    let body = "
        const db = await opened();
        const t = db.transaction(['clients', 'pictures']);
        const keys = await got(t.objectStore('clients').getAllKeys());
        const records = await got(t.objectStore('clients').getAll());
        const names = await got(t.objectStore('pictures').getAllKeys());
        const blobs = await got(t.objectStore('pictures').getAll());
        db.close();
        const sums = await Promise.all(blobs.map(async (b) => hex(await crypto.subtle.digest('SHA-256', await b.arrayBuffer()))));
        return keys.map((key, i) => ({
            record: JSON.parse(records[i]),
            pictures: Object.fromEntries(names.map((n, j) => [n, sums[j]]).filter(([n]) => n.startsWith(key + '/')).map(([n, s]) => [n.slice(key.length + 1), s])),
        }));";
    let all = run(desk, body, Vec::new()).await?;
    let mut by_code = BTreeMap::new();
    for one in all.as_array().context("a list")? {
        let record = one["record"].clone();
        let code = record["client"]["code"].as_str().context("a code")?;
        let pictures = serde_json::from_value(one["pictures"].clone())?;
        let code = code.to_owned();
        by_code.insert(code, Kept { record, pictures });
    }
    Ok(by_code)
}

/// How many entries each store has.
pub async fn counts(desk: &Desk) -> Result<BTreeMap<String, u64>> {
    let body = "
        const db = await opened();
        const names = [...db.objectStoreNames];
        const t = db.transaction(names);
        const counted = await Promise.all(names.map((n) => got(t.objectStore(n).count())));
        db.close();
        return Object.fromEntries(names.map((n, i) => [n, counted[i]]));";
    Ok(serde_json::from_value(run(desk, body, Vec::new()).await?)?)
}

/// Puts so many invented clients in, three photos each of so many bytes.
pub async fn fill(desk: &Desk, clients: u32, photo_bytes: u32) -> Result<()> {
    let body = "
        const [count, size] = given;
        const base = await (await fetch('demo/demo-set/client.json')).json();
        const photo = new Uint8Array(await (await fetch('demo/demo-set/' + base.photos[0].image.name)).arrayBuffer());
        const names = ['Ásta', 'Ilvane', 'Renée', 'Łucja', 'Oriske', 'Tamsuri', 'Søren', 'Mira'];
        const states = ['relaxed', 'eyes-open', 'raised'];
        const db = await opened();
        for (let from = 0; from < count; from += 100) {
            const t = db.transaction(['clients', 'list', 'pictures', 'keepings'], 'readwrite');
            const ended = new Promise((ok, no) => { t.oncomplete = ok; t.onabort = () => no(t.error); });
            for (let i = from; i < Math.min(count, from + 100); i++) {
                const record = structuredClone(base);
                const number = String(i).padStart(4, '0');
                const key = `1764${number}-${i}`;
                record.id = i.toString(16).padStart(32, '0');
                record.client = { code: `C${number}`, name: `${names[i % 8]} Invented`, note: i % 7 ? '' : 'soft start, crème' };
                record.photos = states.map((state, k) => ({
                    ...structuredClone(base.photos[Math.min(k, base.photos.length - 1)]),
                    id: `photo-${k + 1}`, state, image: { kind: 'file', name: `photo-${k + 1}.jpg` },
                }));
                t.objectStore('clients').put(JSON.stringify(record), key);
                t.objectStore('keepings').put(1, key);
                t.objectStore('list').put(['2', key, 1764057600000 + i * 1000, i + 1, 'shape proposed', '2026-11-28', record.client.code, record.client.name, record.client.note].join('\\n'), key);
                for (let k = 1; k <= 3; k++) {
                    const bytes = photo.slice(0, size);
                    bytes.set([k, i & 255, i >> 8], bytes.length - 3);
                    t.objectStore('pictures').put(new Blob([bytes], { type: 'image/jpeg' }), `${key}/photo-${k}.jpg`);
                }
            }
            await ended;
        }
        db.close();";
    run(desk, body, vec![json!(clients), json!(photo_bytes)]).await?;
    Ok(())
}

/// Changes a client's record past the app, as another device would have.
pub async fn change(desk: &Desk, code: &str, note: &str) -> Result<()> {
    let body = "
        const [code, note] = given;
        const db = await opened();
        const t = db.transaction(['clients'], 'readwrite');
        const store = t.objectStore('clients');
        const keys = await got(store.getAllKeys());
        for (const key of keys) {
            const record = JSON.parse(await got(store.get(key)));
            if (record.client.code !== code) continue;
            record.client.note = note;
            await got(store.put(JSON.stringify(record), key));
        }
        await new Promise((ok, no) => { t.oncomplete = ok; t.onabort = () => no(t.error); });
        db.close();";
    run(desk, body, vec![json!(code), json!(note)]).await?;
    Ok(())
}

/// The first screen once more, from what is kept.
pub async fn reopen(desk: &Desk) -> Result<()> {
    desk.driver.goto("about:blank").await?;
    desk.driver.goto(&desk.address).await?;
    desk.find("home").await?;
    Ok(())
}
