// What the engine's worker keeps in this browser: the memory of a Python that has started, by the address of the
// package it was started from. Only the latest is kept; the addresses change with every version.
const DATABASE = "steelyard-engine";
const STORE = "memory";

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("another page holds the store"));
  });
}

async function within(mode, work) {
  const database = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode);
      const request = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
      transaction.onerror = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

// The memory kept under a name; null if there is none, or the store can't be had.
export async function kept(name) {
  try {
    return (await within("readonly", (store) => store.get(name))) ?? null;
  } catch {
    return null;
  }
}

// Keep this memory under a name, in place of all others.
export async function keep(name, memory) {
  await within("readwrite", (store) => {
    store.clear();
    return store.put(memory, name);
  });
}

// Forget whatever is kept.
export async function forget() {
  await within("readwrite", (store) => store.clear());
}
