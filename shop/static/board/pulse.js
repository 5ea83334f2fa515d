// Asks every two seconds, only while the page is seen, whether anything changed; draws again then, and once a minute.
const EVERY = 2000;
const PART = { "HX-Request": "true" };

// A part of a page, or a step: the answer of the shop. Rejects when there is no connection.
export const ask = async (address, more = {}) => {
  const answer = await fetch(address, {
    ...more,
    headers: { ...PART, ...more.headers },
    signal: AbortSignal.timeout(8000),
  });
  // Signed out meanwhile: the page itself asks to sign in.
  if (answer.redirected && answer.url.includes("/sign-in/")) location.reload();
  return answer;
};

export const watch = ({ at, seen, draw, lost, found }) => {
  let busy = false;
  let drawn = Date.now();
  const look = async () => {
    if (busy || document.hidden) return;
    busy = true;
    try {
      const answer = await ask(`${at}?seen=${seen()}`);
      if (!answer.ok) throw new Error(String(answer.status));
      if (answer.status !== 204 || Date.now() - drawn > 60000) {
        await draw();
        drawn = Date.now();
      }
      found?.();
    } catch {
      lost?.(drawn);
    } finally {
      busy = false;
    }
  };
  setInterval(look, EVERY);
  document.addEventListener("visibilitychange", look);
};
