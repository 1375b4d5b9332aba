// Keeps the screen on while someone measures: their hands hold the leads. Only where the browser offers it, which is over
// TLS and on the computer itself.

import { useEffect } from "preact/hooks";

export function use_wake_lock(wanted: boolean): void {
  useEffect(() => {
    if (!wanted || !("wakeLock" in navigator)) return;
    let lock: WakeLockSentinel | null = null;
    let gone = false;
    const take = async () => {
      if (document.visibilityState !== "visible" || (lock && !lock.released)) return;
      // Refused when the battery is low: then the screen goes dark as it would without.
      lock = await navigator.wakeLock.request("screen").catch(() => null);
      if (gone) void lock?.release();
    };
    // The browser takes it away when the page is out of sight.
    const seen = () => void take();
    void take();
    document.addEventListener("visibilitychange", seen);
    return () => {
      gone = true;
      document.removeEventListener("visibilitychange", seen);
      void lock?.release();
    };
  }, [wanted]);
}
