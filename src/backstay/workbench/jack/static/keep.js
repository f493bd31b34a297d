// What the tablet keeps: every entry and where one stands, on its own disk before anything is sent.
// IndexedDB, and where the browser has none, localStorage. Nothing kept here is ever overwritten by
// what the server says; an entry only changes its state (kept, stored, set aside).
const NAME = "backstay-jack";
const ENTRIES = "entries";
const VALUES = "values";

export async function openKeep() {
  try {
    return new InDatabase(await database());
  } catch {
    return inStorage();
  }
}

function database() {
  return new Promise((give, fail) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      const entries = asked.result.createObjectStore(ENTRIES, { keyPath: "id" });
      entries.createIndex("place", "place");
      asked.result.createObjectStore(VALUES);
    };
    asked.onsuccess = () => give(asked.result);
    asked.onerror = () => fail(asked.error);
    asked.onblocked = () => fail(new Error("blocked"));
  });
}

class InDatabase {
  constructor(db) {
    this.db = db;
    this.where = "IndexedDB";
  }

  write(store, act) {
    return new Promise((give, fail) => {
      const transaction = this.db.transaction(store, "readwrite", { durability: "strict" });
      transaction.oncomplete = () => give();
      transaction.onerror = transaction.onabort = () => fail(transaction.error);
      act(transaction.objectStore(store));
    });
  }

  read(store, act) {
    return new Promise((give, fail) => {
      const asked = act(this.db.transaction(store).objectStore(store));
      asked.onsuccess = () => give(asked.result);
      asked.onerror = () => fail(asked.error);
    });
  }

  put(entry) {
    return this.write(ENTRIES, (store) => store.put(entry));
  }

  async entries(place) {
    const found = await this.read(ENTRIES, (store) => store.index("place").getAll(place));
    return found.sort((a, b) => a.order - b.order);
  }

  set(key, value) {
    return this.write(VALUES, (store) => store.put(value, key));
  }

  get(key) {
    return this.read(VALUES, (store) => store.get(key));
  }
}

function inStorage() {
  try {
    localStorage.setItem(`${NAME}-try`, "1");
    localStorage.removeItem(`${NAME}-try`);
    return new InStorage(localStorage, "localStorage");
  } catch {
    const held = new Map();
    const store = {
      get length() { return held.size; },
      key: (i) => [...held.keys()][i],
      getItem: (k) => held.get(k) ?? null,
      setItem: (k, v) => held.set(k, v),
    };
    return new InStorage(store, "");
  }
}

// where: empty where the browser keeps nothing, which the page says.
class InStorage {
  constructor(store, where) {
    this.store = store;
    this.where = where;
  }

  async put(entry) {
    this.store.setItem(`${NAME}/e/${entry.id}`, JSON.stringify(entry));
  }

  async entries(place) {
    const found = [];
    for (let i = 0; i < this.store.length; i++) {
      const key = this.store.key(i);
      if (!key.startsWith(`${NAME}/e/`)) continue;
      const entry = JSON.parse(this.store.getItem(key));
      if (entry.place === place) found.push(entry);
    }
    return found.sort((a, b) => a.order - b.order);
  }

  async set(key, value) {
    this.store.setItem(`${NAME}/v/${key}`, JSON.stringify(value));
  }

  async get(key) {
    const text = this.store.getItem(`${NAME}/v/${key}`);
    return text === null ? undefined : JSON.parse(text);
  }
}
