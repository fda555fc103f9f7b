/** Fresh keys for documents, also where the page came over plain http (no randomUUID there). */

/** 32 digits 0-9 a-f, random. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
