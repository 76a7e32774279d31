// Carries events out on the phone's own queue; gives, after each, what phone and server have.
// See test_phone_promise.py, which makes the events.
async (events) => {
  const [queue, store, machine, sending] = await Promise.all(
    ["queue", "store", "machine", "send"].map((name) => import(`/static/phone/${name}.js`)));
  const text = (bytes) => new TextDecoder().decode(bytes);
  let db = await store.openStore();
  await store.write(db, ["acts"], (at) => store.got(at.objectStore("acts").clear()));
  const server = new Map();    // id -> text
  const came = [];             // every arrival, in order: person signed in, id, text
  const logged = [], undone = [], trace = [];
  let now = 1_700_000_000_000;
  const restart = async () => { db.close(); db = await store.openStore(); };
  const all = () => store.read(db, ["acts"], (at) => store.got(at.objectStore("acts").getAll()));
  const take = ({ id }, text, person, said) => {
    came.push([person, id, text]);
    if (server.has(id)) return { id, state: "known", was: "applied", kept: true, problems: [] };
    if (said === "refused") return { id, state: "refused", was: "", kept: false, problems: [{ code: "shape", detail: "" }] };
    if (said === "fault") return { id, state: "refused", was: "", kept: false, problems: [{ code: "server", detail: "" }] };
    server.set(id, text);
    return { id, state: said, was: "", kept: true, problems: [] };
  };
  // The app's own sending, on a way that answers so many batches and then does what `way` says.
  const send = async (person, way, well, said, most, force) => {
    let [posts, last] = [0, null];
    const answer = (value) => new Response(JSON.stringify(value));
    const real = [globalThis.fetch, Date.now];
    Date.now = () => now;
    globalThis.fetch = async (address, { body } = {}) => {
      if (way === "offline") throw new TypeError("no signal");
      if (address === "who") return answer({ person, csrf: "" });
      const fails = posts++ >= well;
      if (fails && way === "lost_going") throw new TypeError("lost");
      const texts = JSON.parse(body).acts;
      last = texts.map((one, at) => take(JSON.parse(one), one, person, said[at % said.length]));
      if (fails && way === "killed") db.close();
      if (fails && (way === "killed" || way === "lost_coming")) throw new TypeError("lost");
      return answer({ acts: last, skew_s: 0 });
    };
    await sending.sendAll(db, { who: "who", sync: "sync" }, { most, force }).catch(() => {});
    [globalThis.fetch, Date.now] = real;
    if (way === "killed") await restart();
    if (way === "twice" && last) {
      const rows = new Map((await all()).map((row) => [row.id, row]));
      const batch = last.map(({ id }) => rows.get(id));
      await queue.turn(db, person, { batch, answers: last, skew_s: 0 }, now, null);
    }
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
    race: async (at, person) => { await Promise.all([deeds.undo(at), send(person, "answered", 0, ["applied"], 4, true)]); },
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
  for (const person of ["signe", "ivar"]) await send(person, "answered", 0, ["applied"], 50, true);
  await look();
  db.close();
  return { trace, came };
}
