// The model a ticket is ranked by, in two parts: what holds for every ticket of the car is fetched, from the phone's own
// memory if the car is taken along; what belongs to this ticket stands on its page (app/pages/ticket_model.py).

/** Both parts in one. The ticket's candidates add to the car's, one by one; its checks stand behind the car's. */
export function joined(ofCar, ofTicket) {
  const candidates = ofCar.candidates.map((one, place) => ({ ...one, ...ofTicket.candidates[place] }));
  return { ...ofCar, ...ofTicket, candidates, checks: [...ofCar.checks, ...ofTicket.checks] };
}

/** The same with the suspects of one's own that were added on this phone since. */
export function withOwn(model, known) {
  const added = known.all("own_suspect").flatMap((ref) => {
    const id = ref.slice("own_suspect/".length);
    const { car, label, behaves_like: like, likely, void_reason: isStruck } = known.fields(ref);
    if (car !== model.car || isStruck || !model.possible[like] || model.candidates.some((one) => one.id === id)) return [];
    const one = model.possible[like];
    const [times, often] = model.likely[likely];
    const [[, reason]] = one.why;
    const [usual, others] = model.learned;
    const learned = others[like] ?? usual;
    const [less, more, worth] = model.taught;
    const why = [[times, reason.replace(model.likely.usual[1], often)]];
    if (Math.abs(learned - 1) > worth) why.push([learned, learned > 1 ? more : less]);
    return [{ ...one, id, label, prior: one.prior * learned * times, why }];
  });
  if (added.length === 0) return model;
  return { ...model, candidates: [...model.candidates, ...added], fields: [...model.fields, ...added.map(() => "own_suspect")] };
}

/** The model of this page's ticket; it throws where neither phone nor garage has the car's part. */
export async function modelOfPage() {
  const ofTicket = JSON.parse(document.getElementById("model").textContent);
  const response = await fetch(ofTicket.of);
  if (!response.ok) throw new Error(`${ofTicket.of} answers ${response.status}`);
  return joined(await response.json(), ofTicket);
}
