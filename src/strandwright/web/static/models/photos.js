/** Photos: scaled down and freed of the place they were taken at, kept here until the program has them. */
import { signal } from "@preact/signals";
import { ApiError } from "../lib/api.js";
import { outbox } from "./bench_outbox.js";
import { setWaiting } from "./shell.js";

/** Longest side of a photo that is sent [px]. */
export const LONGEST = 1600;
const QUALITY = 0.85;

/** Pictures that are still here, by name, as addresses an image shows. @type {import("@preact/signals").Signal<Record<string, string>>} */
export const held = signal({});

/** Where a photo is shown from; empty until it is known where it is. @param {string} name @param {boolean} kept whether the program has it */
export const photoAddress = (name, kept) => held.value[name] ?? (kept ? `/api/photos/${name}` : "");

/**
 * Take in a file: scale it, name it by its bytes, keep it on this browser's disk.
 * @param {File} file
 * @returns {Promise<string>} its name
 */
export async function takeIn(file) {
  const blob = await scaled(file);
  const name = await digest(blob);
  await outbox.note(`photo ${name}`, blob);
  held.value = { ...held.peek(), [name]: URL.createObjectURL(blob) };
  return name;
}

/** Drawn on a canvas it is the picture alone: what the camera wrote beside it stays behind. */
async function scaled(file) {
  let picture;
  try { picture = await createImageBitmap(file); } catch {
    throw new ApiError(`${file.name} is no picture this browser can read. Take it again as a JPEG.`);
  }
  const share = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * share));
  canvas.height = Math.max(1, Math.round(picture.height * share));
  /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d")).drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", QUALITY); });
  if (blob === null) throw new ApiError(`${file.name} could not be scaled down in this browser.`);
  return blob;
}

/** @param {Blob} blob @returns {Promise<string>} SHA-256 in hexadecimal */
async function digest(blob) {
  if (!globalThis.crypto?.subtle) throw new ApiError("This browser names no photos on an address without TLS. Open the program by its https address.");
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Hand photos over; those that are there already are not sent again.
 * @param {string[]} names
 * @throws {ApiError} where one could not be: then all of them stay kept here
 */
export async function handOver(names) {
  for (const name of new Set(names)) {
    const blob = await outbox.noted(`photo ${name}`);
    if (blob instanceof Blob) await sent(name, blob);
  }
}

async function sent(name, blob) {
  setWaiting(`photo ${name}`, 1);
  try {
    let answer;
    try {
      answer = await fetch(`/api/photos/${name}`, { method: "PUT", headers: { "Content-Type": blob.type }, body: blob });
    } catch { throw new ApiError("The program does not answer, so the photo waits here. Nothing is lost."); }
    if (!answer.ok) {
      const said = await answer.json().catch(() => null);
      throw new ApiError(said?.said ?? `The photo was not taken (${answer.status}).`, { status: answer.status, errors: said?.errors ?? [] });
    }
    await outbox.note(`photo ${name}`, null);
  } finally { setWaiting(`photo ${name}`, 0); }
}

/** Show again what was taken before a reload: what is not here any more was handed over. @param {string[]} names */
export async function recall(names) {
  for (const name of names) {
    if (name in held.peek()) continue;
    const blob = await outbox.noted(`photo ${name}`);
    held.value = { ...held.peek(), [name]: blob instanceof Blob ? URL.createObjectURL(blob) : `/api/photos/${name}` };
  }
}
