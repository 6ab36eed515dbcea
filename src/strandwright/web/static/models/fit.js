/** Beginning a fit: proved lines on their way onto a bow. */
import { post } from "../lib/api.js";
import { newId, nowText } from "../lib/ids.js";
import { addressOf } from "../lib/route.js";

/**
 * Begin a fit and go there.
 * @param {{lines: {job: string, build: string}[], bow: string, crossbow?: string|null, order?: string, before?: Record<string, any>}} body
 */
export async function beginFit(body) {
  const told = Object.fromEntries(Object.entries(body).filter(([, value]) => value !== undefined && value !== null));
  const id = newId();
  await post("/api/fits", { id, event: { id: newId(), at: nowText(), by: "on the bow", body: told } });
  location.hash = addressOf("fit", id);
}
