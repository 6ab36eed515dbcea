// Handing acts over: together where they go, one by one where the bench computer refuses some.

import { Refusal, post } from "./wire.js";

/**
 * Send acts of one build from the head of its queue.
 * @returns {Promise<{acknowledged: object[], refused: object[], advice: object|null}>}
 * @throws where no answer came: then all of them stay where they are
 */
export async function sendSome(build, items) {
  const some = items[0].job ? items.slice(0, 1) : items;
  try {
    return { ...(await sendTogether(build, some)), refused: [] };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return some.length === 1
      ? { acknowledged: [], refused: [told(some[0], error)], advice: null }
      : sendSingly(build, some);
  }
}

/** Settled only at the end: half-way the advice may hold acts that still count as pending. */
async function sendSingly(build, items) {
  const all = { acknowledged: [], refused: [], advice: null };
  for (const item of items) {
    try {
      const { acknowledged, advice } = await sendTogether(build, [item]);
      all.acknowledged.push(...acknowledged);
      all.advice = advice;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      all.refused.push(told(item, error));
    }
  }
  return all;
}

async function sendTogether(build, items) {
  const [{ event, job }] = items;
  if (job) {
    const begin = { build, event: event.id, at: event.at, by: event.by };
    const advice = await post(`/api/jobs/${encodeURIComponent(job)}/builds`, begin);
    return { acknowledged: [{ ...items[0], seq: 1 }], advice };
  }
  const answer = await post(`/api/builds/${build}/events`, { events: items.map((i) => i.event) });
  const places = new Map(answer.acknowledged.map((a) => [a.id, a.seq]));
  if (!items.every((item) => places.has(item.event.id))) {
    throw new Error("the bench computer answered without acknowledging every act");
  }
  const acknowledged = items.map((item) => ({ ...item, seq: places.get(item.event.id) }));
  return { acknowledged, advice: answer.advice };
}

const told = (item, refusal) => ({
  ...item,
  said: refusal.said,
  errors: refusal.errors,
  status: refusal.status,
});
