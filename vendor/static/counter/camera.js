/** Scanning tags with the camera: the browser's own reader where it has one, else ours. */

import { readNumber } from "./article.js";
import { eitherWay, readRuns, runsOf } from "./code128.js";
import { byId } from "./dom.js";

const EVERY = 120;
// The same code again within this time is the same tag, still in the picture.
const SAME_TAG = 1_800;
const LINES = 15;

/** Whether this device has a camera that a page may use. */
export const isThere = () => Boolean(navigator.mediaDevices?.getUserMedia);

/**
 * Show the camera's picture and give every code that comes into it, until the sheet is closed.
 * @param {(code: string) => void} found
 */
export async function scan(found) {
  const dialog = byId("camera");
  const video = byId("camera-picture");
  byId("camera-said").textContent = "Hold a tag before the camera.";
  /** @type {MediaStream} */
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } } });
  } catch {
    byId("camera-said").textContent = "The camera can't be used: allow it for this page, or type the code.";
    dialog.showModal();
    return;
  }
  video.srcObject = stream;
  await video.play();
  const read = await reader();
  const timer = setInterval(() => look(video, read, found), EVERY);
  dialog.addEventListener("close", () => {
    clearInterval(timer);
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  }, { once: true });
  dialog.showModal();
}

/** @type {{code: string, at: number}} */
let last = { code: "", at: 0 };

/** @param {HTMLVideoElement} video @param {(video: HTMLVideoElement) => Promise<string | null>} read @param {(code: string) => void} found */
async function look(video, read, found) {
  const code = await read(video).catch(() => null);
  if (!code) return;
  const now = Date.now();
  const again = code === last.code && now - last.at < SAME_TAG;
  last = { code, at: now };
  if (again) return;
  navigator.vibrate?.(60);
  found(code);
}

/** @returns {Promise<(video: HTMLVideoElement) => Promise<string | null>>} */
async function reader() {
  const Detector = /** @type {any} */ (globalThis).BarcodeDetector;
  const wanted = ["code_128", "qr_code", "ean_13", "upc_a"];
  const formats = Detector ? await Detector.getSupportedFormats().catch(() => []) : [];
  if (!wanted.some((each) => formats.includes(each))) return ours;
  const detector = new Detector({ formats: wanted.filter((each) => formats.includes(each)) });
  return async (video) => (await detector.detect(video))[0]?.rawValue ?? null;
}

const canvas = document.createElement("canvas");

/** @param {HTMLVideoElement} video @returns {Promise<string | null>} */
async function ours(video) {
  const [width, height] = [video.videoWidth, video.videoHeight];
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!width || !context) return null;
  canvas.width = width;
  canvas.height = height;
  context.drawImage(video, 0, 0);
  for (let each = 1; each < LINES; each += 1) {
    const { data } = context.getImageData(0, Math.floor((height * each) / LINES), width, 1);
    const runs = runsOf(brightness(data));
    const code = eitherWay(runs, readRuns) ?? eitherWay(runs, readNumber);
    if (code) return code;
  }
  return null;
}

/** @param {Uint8ClampedArray} pixels */
function brightness(pixels) {
  const line = new Float32Array(pixels.length / 4);
  for (let at = 0; at < line.length; at += 1) {
    line[at] = 0.3 * pixels[at * 4] + 0.59 * pixels[at * 4 + 1] + 0.11 * pixels[at * 4 + 2];
  }
  return line;
}
