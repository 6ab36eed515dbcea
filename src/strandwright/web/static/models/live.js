/** The program's own voice: tells when anything kept has changed. */
import { get } from "../lib/api.js";
import { answering, hello, mark } from "./shell.js";

/** Listen for as long as the page is open; the browser tries again by itself. */
export function listen() {
  const source = new EventSource("/api/live");
  source.addEventListener("open", () => { answering.value = true; });
  source.addEventListener("error", () => { answering.value = false; });
  source.addEventListener("mark", (event) => {
    answering.value = true;
    const heard = JSON.parse(event.data).mark;
    if (typeof heard === "number") mark.value = heard;
  });
  addEventListener("pagehide", () => source.close());
  addEventListener("pageshow", (event) => { if (event.persisted) listen(); });
  get("/api/hello").then((said) => { hello.value = said; }, () => { answering.value = false; });
}
