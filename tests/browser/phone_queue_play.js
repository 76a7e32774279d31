async ([steps, name]) => {
  const queue = await import("/static/phone/queue.js");
  const store = await import("/static/phone/store.js");
  const { mayUndo } = await import("/static/phone/machine.js");
  let db = await store.openStore();
  const [people, taken, undone, logged] = [["p1", "p2"], [], new Set(), []];
  let number = 0;
  const serve = (row) => {
    const text = new TextDecoder().decode(row.bytes);
    const seen = taken.find((one) => one.id === row.id);
    if (seen) return { id: row.id, state: seen.text === text ? "known" : "conflict", was: "applied", kept: seen.text === text, problems: [] };
    taken.push({ id: row.id, person: row.person, text });
    return { id: row.id, state: "applied", was: "", kept: true, problems: [] };
  };
  const rowsOf = async () => (await Promise.all(people.map((one) => queue.rowsOf(db, one)))).flat();
  const run = {
    async log(who) {
      const id = `${name}-${number++}`;
      await queue.keep(db, [{ id, person: people[who], team: "t", kind: "log_check", made_at: Date.now(), bytes: new TextEncoder().encode(id).buffer, state: "kept", offered: false, faults: 0, problems: [], settled_at: null, told: {} }]);
      logged.push({ id, person: people[who] });
    },
    async undo(_who, pick) {
      const rows = await rowsOf();
      if (!rows.length) return;
      const row = rows[pick % rows.length];
      const may = mayUndo(row);
      if ((await queue.undo(db, row.id)) !== may) throw new Error("undo is not what the row said");
      if (may) undone.add(row.id);
    },
    async answered(who) { const batch = await queue.offer(db, people[who], Date.now(), { force: true, most: 3 }); await queue.settle(db, batch, batch.map(serve), Date.now()); },
    async lost(who) { (await queue.offer(db, people[who], Date.now(), { force: true, most: 3 })).map(serve); },
    async never(who) { await queue.offer(db, people[who], Date.now(), { force: true, most: 3 }); },
    async twice(who) { const batch = await queue.offer(db, people[who], Date.now(), { force: true, most: 3 }); for (const _ of [1, 2]) await queue.settle(db, batch, batch.map(serve), Date.now()); },
    async killed() { db.close(); db = await store.openStore(); },
    async both(who, pick) { await Promise.all([run.undo(who, pick), run.answered(who)]).catch((error) => { if (!String(error).includes("undo is not")) throw error; }); for (const one of logged) if (!(await rowsOf()).some((row) => row.id === one.id) && !taken.some((row) => row.id === one.id)) undone.add(one.id); },
  };
  for (const [event, who, pick] of steps) await run[event](who, pick);
  for (const who of [0, 1]) for (let turn = 0; turn <= logged.length; turn += 1) await run.answered(who);
  const rows = await rowsOf();
  for (const one of people) await queue.wipe(db, one);
  db.close();
  const left = rows.filter((row) => row.state !== "sent" || row.bytes !== null).map((row) => row.id);
  return { left, order: people.map((one) => ({
    taken: taken.filter((row) => row.person === one).map((row) => row.id),
    owed: logged.filter((row) => row.person === one && !undone.has(row.id)).map((row) => row.id) })) };
}
