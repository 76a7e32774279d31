// Everything but the first screen, fetched beside it and run after it stands.

export { carried, carry } from "./carry.js";
export { check } from "./check.js";
export { Deeds } from "./deeds.js";
export { device } from "./device.js";
export { askForSync, hostWords, keepWorker, storageFacts, watchBattery } from "./host.js";
export { kept } from "./kept.js";
export { map } from "./map.js";
export { tidy } from "./queue.js";
export { putRows, refreshRows } from "./rows.js";
export { NoAnswer, SignedOut } from "./send.js";
export { Sender } from "./sender.js";
export { set } from "./set.js";
export { stop } from "./stop.js";
export { meta } from "./store.js";
export { waiting } from "./waiting.js";
