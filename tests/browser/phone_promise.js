// Carries events out on the phone's own queue; gives, after each, what phone and server have.
// See test_phone_promise.py, which makes the events.
async (events) => {
  const [queue, store, machine] = await Promise.all(
    ["queue", "store", "machine"].map((name) => import(`/static/phone/${name}.js`)));
  const text = (bytes) => new TextDecoder().decode(bytes);
  let db = await store.openStore();
  await store.write(db, ["acts"], (at) => store.got(at.objectStore("acts").clear()));
  const server = new Map();    // id -> text
  const came = [];             // every arrival, in order: person signed in, id, text
  const logged = [], undone = [], trace = [];
  let now = 1_700_000_000_000;
  const restart = async () => { db.close(); db = await store.openStore(); };
  const all = () => store.read(db, ["acts"], (at) => store.got(at.objectStore("acts").getAll()));
  const take = (row, said) => {
    came.push([row.person, row.id, text(row.bytes)]);
    if (server.has(row.id)) return { id: row.id, state: "known", was: "applied", kept: true, problems: [] };
    if (said === "refused") return { id: row.id, state: "refused", was: "", kept: false, problems: [{ code: "shape", detail: "" }] };
    if (said === "fault") return { id: row.id, state: "refused", was: "", kept: false, problems: [{ code: "server", detail: "" }] };
    server.set(row.id, text(row.bytes));
    return { id: row.id, state: said, was: "", kept: true, problems: [] };
  };
  const send = async (person, way, said, most, force) => {
    if (way === "offline") return;
    const batch = await queue.offer(db, person, now, { most, force });
    if (!batch.length || way === "lost_going") return;
    const answers = batch.map((row, at) => take(row, said[at % said.length]));
    if (way === "lost_coming") return;
    if (way === "killed") return restart();
    await queue.settle(db, batch, answers, now);
    if (way === "twice") await queue.settle(db, batch, answers, now);
  };
  const deeds = {
    log: async (person) => {
      const id = `act-${logged.length}`;
      const bytes = new TextEncoder().encode(JSON.stringify({ id, person, note: "Ål \u{1F43E}" })).buffer;
      await queue.keep(db, [{ id, person, team: "north", kind: "log_check", made_at: now, bytes,
        state: machine.KEPT, offered: false, faults: 0, problems: [], settled_at: null, told: {} }]);
      logged.push([id, person, text(bytes)]);
    },
    undo: async (at) => {
      const [id] = logged[at % Math.max(logged.length, 1)] ?? [];
      if (id && (await queue.undo(db, id))) undone.push(id);
    },
    // The person takes it back in the very moment in which it goes out.
    race: async (at, person) => { await Promise.all([deeds.undo(at), send(person, "answered", ["applied"], 4, true)]); },
    wait: async (seconds) => { now += seconds * 1000; },
    send, kill: restart, tidy: () => queue.tidy(db, now),
    again: async (at) => {
      const rows = (await all()).filter((row) => row.state === machine.REFUSED);
      if (rows.length) await queue.sendAgain(db, rows[at % rows.length].seq);
    },
  };
  const look = async () => trace.push({
    phone: (await all()).map((row) => [row.id, row.person, row.state, row.bytes ? text(row.bytes) : null]),
    server: [...server], undone: [...undone], logged: [...logged] });
  for (const [name, ...rest] of events) { await deeds[name](...rest); await look(); }
  // In the end there is signal, and the server has no fault.
  now += 60_000;
  for (let turn = 0; turn < 30; turn += 1) {
    for (const person of ["signe", "ivar"]) await send(person, "answered", ["applied"], 50, true);
  }
  await look();
  db.close();
  return { trace, came };
}
