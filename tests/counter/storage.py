"""What outlasts a page in its browser."""

# All that a page's scripts can read of what outlasts the page.
READ = """async () => {
  const [local, session] = [{ ...localStorage }, { ...sessionStorage }];
  const found = { local, session, databases: {}, caches: {} };
  for (const { name } of await indexedDB.databases()) {
    const database = await new Promise((resolve, reject) => {
      const request = indexedDB.open(name);
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    for (const store of database.objectStoreNames) {
      const request = database.transaction(store).objectStore(store).getAll();
      await new Promise((resolve) => { request.onsuccess = resolve; });
      found.databases[`${name} ${store}`] = request.result;
    }
    database.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const response = await cache.match(request);
      const type = response.headers.get("Content-Type") ?? "";
      const headers = JSON.stringify([...response.headers]);
      found.caches[request.url] = headers + (/image/.test(type) ? "" : await response.text());
    }
  }
  return found;
}"""
