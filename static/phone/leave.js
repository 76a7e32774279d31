// Signing out on one of the team's other pages: what the phone's page keeps here of the person goes
// too, once nothing of it is owed. What is owed stays, and the person is told where to send it.

import { owed } from "./machine.js";
import { wipe } from "./queue.js";
import { got, openStore, read } from "./store.js";
import { dropTiles } from "./tiles.js";

const form = document.getElementById("leave");
const told = document.getElementById("leave-owed");

form.addEventListener("submit", (event) => {
  event.preventDefault();
  leave(form.dataset.person).then((gone) => {
    if (gone) return form.submit();
    told.hidden = false;
    told.querySelector("a").focus();
  }, () => form.submit()); // a store that cannot be opened keeps nothing that could be read
});

/** @param {string} person @returns {Promise<boolean>} whether nothing of theirs is here any more */
async function leave(person) {
  const there = (await indexedDB.databases?.()) ?? [{ name: "lineward" }];
  if (!there.some(({ name }) => name === "lineward")) return true;
  const db = await openStore();
  const [acts, photos] = await read(db, ["acts", "photos"], (at) =>
    Promise.all([got(at.objectStore("acts").getAll()), got(at.objectStore("photos").index("person").count(person))]));
  if (photos || acts.some((row) => row.person === person && owed(row))) return false;
  await wipe(db, person);
  db.close();
  await dropTiles();
  localStorage.removeItem("light");
  return true;
}
