// Press and hold: a wet screen touches itself, so a check is kept only by a touch that stays.

/** How long the touch has to stay. */
export const HOLD_MS = 700;
/** A key, or a screen reader, presses twice: the second within this time. */
const TWICE_MS = 5000;

/**
 * Make a button that acts when it is held, or pressed twice by a key.
 * @param {HTMLButtonElement} button
 * @param {() => void} act
 * @param {(armed: boolean) => void} told whether a second press is waited for
 */
export function holdToAct(button, act, told) {
  let timer = null;
  let pressed = false;
  let armed = 0;

  const stop = () => {
    clearTimeout(timer);
    timer = null;
    button.classList.remove("holding");
  };
  button.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || timer !== null) return;
    pressed = true;
    button.classList.add("holding");
    timer = setTimeout(() => {
      stop();
      if (button.isConnected) act(); // a page that was left meanwhile keeps nothing
    }, HOLD_MS);
  });
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) button.addEventListener(name, stop);
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("keydown", (event) => {
    if (event.repeat) event.preventDefault(); // a key that stays down is one press
  });
  button.addEventListener("click", (event) => {
    // A click with a pointer behind it was a touch that ended; one without is a key or a reader.
    if (pressed) {
      pressed = false;
      return;
    }
    if (Date.now() - armed < TWICE_MS) {
      armed = 0;
      told(false);
      act();
    } else {
      armed = Date.now();
      told(true);
    }
  });
}
