/** What stands at this very moment, not when the screen was last drawn. */
import { outbox } from "../../models/bench_outbox.js";
import { project } from "../../models/jig.js";

export function standsNow(build) {
  const waiting = outbox.pending.peek().filter((item) => item.build === build);
  return project(
    outbox.advice.peek(), waiting.map((item) => item.event), outbox.done.peek().map((d) => d.event));
}
