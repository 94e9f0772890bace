//! Looking into the browser's database, and damaging it, from outside the app.

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};

use crate::desk::Desk;

/// What every look begins with.
const TOOLS: &str = r"
const done = arguments[arguments.length - 1];
const given = Array.from(arguments).slice(0, -1);
const of = (request) => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});
const opened = (version) => of(indexedDB.open('ophryon', version));
const at = (db, store, mode) => db.transaction([store], mode ?? 'readonly').objectStore(store);
const ended = (store) => new Promise((yes, no) => {
  store.transaction.oncomplete = yes;
  store.transaction.onabort = () => no(store.transaction.error);
});
const sum = async (blob) => {
  const bytes = new Uint8Array(await crypto.subtle.digest('SHA-256', await blob.arrayBuffer()));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
};
const work = async () => { WORK };
work().then((it) => done({ it: it ?? null }), (why) => done({ why: String(why) }));
";

/// Reaches into the store.
pub trait Inside {
    /// Runs a few lines of script against the store.
    async fn inside(&self, work: &str, given: Vec<Value>) -> Result<Value>;

    /// All records by key.
    async fn records(&self) -> Result<Vec<(String, String)>> {
        let work = "const db = await opened(); const store = at(db, 'clients');
            const all = [await of(store.getAllKeys()), await of(store.getAll())];
            db.close(); return all[0].map((key, i) => [key, all[1][i]]);";
        Ok(serde_json::from_value(self.inside(work, vec![]).await?)?)
    }

    /// The record of the only client.
    async fn one_record(&self) -> Result<String> {
        let mut all = self.records().await?;
        ensure!(all.len() == 1, "{} clients are kept", all.len());
        Ok(all.remove(0).1)
    }

    /// A client's record.
    async fn record(&self, key: &str) -> Result<String> {
        let all = self.records().await?;
        let found = all.into_iter().find(|(k, _)| k == key);
        Ok(found.context("the client is kept")?.1)
    }

    /// Checksums of all pictures by key.
    async fn pictures(&self) -> Result<Vec<(String, String)>> {
        let work = "const db = await opened(); const store = at(db, 'pictures');
            const keys = await of(store.getAllKeys());
            const all = [];
            for (const key of keys) all.push([key, await sum(await of(at(db, 'pictures').get(key)))]);
            db.close(); return all;";
        Ok(serde_json::from_value(self.inside(work, vec![]).await?)?)
    }

    /// How many things a store holds.
    async fn count(&self, store: &str) -> Result<u64> {
        let work = "const db = await opened(); const n = await of(at(db, given[0]).count());
            db.close(); return n;";
        let n = self.inside(work, vec![json!(store)]).await?;
        n.as_u64().context("a number")
    }

    /// Puts a value into a store.
    async fn put(&self, store: &str, key: &str, value: Value) -> Result<()> {
        let work = "const db = await opened(); const store = at(db, given[0], 'readwrite');
            store.put(given[2], given[1]); await ended(store); db.close();";
        let given = vec![json!(store), json!(key), value];
        self.inside(work, given).await.map(|_| ())
    }

    /// Puts a record into the store, with no line in the list.
    async fn put_record(&self, key: &str, record: &str) -> Result<()> {
        self.put("clients", key, json!(record)).await
    }

    /// Empties a store.
    async fn clear(&self, store: &str) -> Result<()> {
        let work = "const db = await opened(); const store = at(db, given[0], 'readwrite');
            store.clear(); await ended(store); db.close();";
        self.inside(work, vec![json!(store)]).await.map(|_| ())
    }

    /// Takes every client out.
    async fn empty_the_store(&self) -> Result<()> {
        for store in ["clients", "list", "pictures", "keepings"] {
            self.clear(store).await?;
        }
        Ok(())
    }
}

impl Inside for Desk {
    async fn inside(&self, work: &str, given: Vec<Value>) -> Result<Value> {
        let script = TOOLS.replace("WORK", work);
        let answer = self.driver.execute_async(&script, given).await?;
        let answer: Value = answer.convert()?;
        match answer.get("why").and_then(Value::as_str) {
            Some(why) => bail!("the store: {why}"),
            None => Ok(answer["it"].clone()),
        }
    }
}

impl Desk {
    /// Makes the store what it was in the first version of the database: three
    /// stores, lines of four, and nothing of how often a client was written.
    /// Stays at a page without the app.
    pub async fn back_to_the_first_version(&self) -> Result<()> {
        self.driver
            .goto(&format!("{}manifest.webmanifest", self.address))
            .await?;
        let work = "let db = await opened();
            const held = [];
            for (const name of ['clients', 'list', 'pictures']) {
              const store = at(db, name);
              const keys = await of(store.getAllKeys());
              held.push([name, keys, await of(at(db, name).getAll())]);
            }
            db.close();
            // The page that was left may open it once more while it ends.
            for (let tries = 0; ; tries++) {
              await of(indexedDB.deleteDatabase('ophryon'));
              const request = indexedDB.open('ophryon', 1);
              request.onupgradeneeded = () => {
                for (const [name] of held) request.result.createObjectStore(name);
              };
              try {
                db = await of(request);
                break;
              } catch (trouble) {
                if (tries === 20) throw trouble;
                await new Promise((done) => setTimeout(done, 100));
              }
            }
            for (const [name, keys, values] of held) {
              const store = at(db, name, 'readwrite');
              keys.forEach((key, i) => {
                let value = values[i];
                if (name === 'list') {
                  const line = value.split('\\n');
                  value = [line[1], line[2], line[4], line[6]].join('\\n');
                }
                store.put(value, key);
              });
              await ended(store);
            }
            const version = db.version; db.close(); return version;";
        let version = self.inside(work, vec![]).await?;
        ensure!(version == 1, "the store is version {version}");
        Ok(())
    }
}
