// What a phone makes of its notes on a proving run. No page, no storage: notes and sheet in, answer out.

// One note for each press, by what it is about; signatures only of the round that the sheet asks for.
export function sortNotes(rows, round) {
  const found = { checks: {}, run: null, warm: [], steps: [], cooling: null };
  for (const row of rows) {
    const [, , kind, ...rest] = row.key.split("/");
    if (kind === "check" && Number(rest[0]) === round) found.checks[rest[1]] = row;
    else if (kind === "run" || kind === "cooling") found[kind] = row;
    else if (kind === "warm") found.warm.push(row);
    else if (kind === "step") found.steps.push(row);
  }
  return found;
}

// A press counts from the moment it is kept, unless the workshop computer refused it.
export const stands = (note) => Boolean(note) && (!note.answer || note.answer.state === "stored");

// The run that readings go to: the server's, or the one that was started here and has not been decided since.
export function currentRun(sheet, known) {
  const started = stands(known.run) ? known.run : null, answer = started && started.answer;
  if (sheet.run) return { run: sheet.run, start: answer && answer.run === sheet.run ? started.id : null };
  if (!started) return null;
  if (answer && new Date(sheet.worked_out_at) > new Date(answer.received_at)) return null;
  return { run: answer ? answer.run : null, start: started.id };
}

export function isOfRun(now, row) {
  const about = row.fact || row;
  return Boolean(now) && ((now.run !== null && about.run === now.run) || (now.start !== null && about.start === now.start));
}

const stepStands = (sheet, known, name) => known.steps.some((s) => stands(s) && s.fact.step === name && isOfRun(currentRun(sheet, known), s));

// Full load waits for warm oil, or for a word that it cannot be read.
export const oilIsWarm = (sheet, known) =>
  Boolean(sheet.warm) || known.warm.some((row) => isOfRun(currentRun(sheet, known), row)) || stepStands(sheet, known, "oil_unreadable");

export const hasIdled = (sheet, known) => sheet.cooled_down || stepStands(sheet, known, "cool_down");
