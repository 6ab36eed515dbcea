/** Time left, drawn every second; what it counts from is kept elsewhere. */
import { useEffect, useState } from "preact/hooks";

/** Now, to the quarter second, while wanted. */
export function useNow(wanted = true) {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    if (!wanted) return undefined;
    const timer = setInterval(() => setNow(Date.now()), 250);
    return () => clearInterval(timer);
  }, [wanted]);
  return now;
}

/** 1865 s as 31:05, 4000 s as 1:06:40. */
export function clockText(milliseconds) {
  const seconds = Math.max(0, Math.ceil(milliseconds / 1000));
  const two = (n) => String(n).padStart(2, "0");
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  return h > 0 ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

/** A time gone by as a duration people write: 30 min, 45 s. */
export function lasted(milliseconds) {
  const seconds = Math.max(1, Math.round(milliseconds / 1000));
  return seconds < 90 ? `${seconds} s` : `${Math.round(seconds / 60)} min`;
}

/** The hour of a moment, as the wall clock shows it. */
export const hour = (moment) => new Date(moment).toLocaleTimeString([], { timeStyle: "short" });
