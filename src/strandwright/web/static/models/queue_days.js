/** The queue cut into days, with places along each day's hours. */

/** @param {{job: string, step: string}} task */
export const keyOf = (task) => `${task.job}/${task.step}`;

/** Minutes of a moment `2026-11-30T09:15` from its midnight. @param {string} text */
const minutesOf = (text) => 60 * Number(text.slice(11, 13)) + Number(text.slice(14, 16));

const two = (number) => String(number).padStart(2, "0");

/**
 * A moment some minutes on, by the shop's clock.
 * @param {string} text
 * @param {number} minutes
 */
export function shifted(text, minutes) {
  // Read as UTC, so that no change of summer time moves it.
  const at = new Date(Date.parse(`${text}:00Z`) + 60000 * minutes);
  return at.toISOString().slice(0, 16);
}

/**
 * The minute of a day that a share of its width stands for, to five minutes.
 * @param {{from: number, to: number}} day
 * @param {number} share
 */
export function momentAt(day, share) {
  const minute = 5 * Math.round((day.from + share * (day.to - day.from)) / 5);
  return Math.min(Math.max(minute, 0), 1435);
}

/** @param {string} day @param {number} minute */
export const momentText = (day, minute) => `${day}T${two(Math.floor(minute / 60))}:${two(minute % 60)}`;

/**
 * Cut a span by the clock to one day; null where it lies outside.
 * @param {string} day
 * @param {string} start
 * @param {string} stop
 */
function inDay(day, start, stop) {
  if (start.slice(0, 10) > day || stop.slice(0, 10) < day || start === stop) return null;
  const from = start.slice(0, 10) < day ? 0 : minutesOf(start);
  const to = stop.slice(0, 10) > day ? 1440 : minutesOf(stop);
  return to > from ? { from, to } : null;
}

/**
 * Cut a queue into days; each has the hours it shows and the parts of tasks that fall into it.
 * @param {any} queue
 */
export function byDay(queue) {
  const days = [...new Set(queue.tasks.flatMap((task) => [task.start.slice(0, 10), task.down.slice(0, 10)]))].sort();
  return days.map((day) => {
    const open = queue.open.map(([a, b]) => inDay(day, a, b)).filter(Boolean);
    const parts = queue.tasks.flatMap((task) => [
      { kind: "hands", task, span: inDay(day, task.start, task.stop) },
      { kind: "stands", task, span: task.stands_min ? inDay(day, task.stop, task.down) : null },
    ]).filter((part) => part.span !== null).flatMap((part) => within(part, part.kind === "hands" ? open : null));
    const ends = [...open, ...parts.map((part) => part.span)];
    const from = 60 * Math.floor(Math.min(...ends.map((span) => span.from)) / 60);
    const to = 60 * Math.ceil(Math.max(...ends.map((span) => span.to)) / 60);
    return { day, open, parts, from: Math.max(0, from - 30), to: Math.min(1440, to + 30) };
  });
}

/** Handwork that goes on over a closed time is shown only while it is open. */
function within(part, open) {
  if (open === null) return [part];
  return open.map((window) => ({ ...part, span: { from: Math.max(part.span.from, window.from), to: Math.min(part.span.to, window.to) } }))
    .filter((one) => one.span.to > one.span.from);
}
