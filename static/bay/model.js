// The model a ticket is ranked by, in two parts: what holds for every ticket of the car is fetched, from the phone's own
// memory if the car is taken along; what belongs to this ticket stands on its page (app/pages/ticket_model.py).

/** Both parts in one. The ticket's candidates add to the car's, one by one; its checks stand behind the car's. */
export function joined(ofCar, ofTicket) {
  const candidates = ofCar.candidates.map((one, place) => ({ ...one, ...ofTicket.candidates[place] }));
  return { ...ofCar, ...ofTicket, candidates, checks: [...ofCar.checks, ...ofTicket.checks] };
}

/** The model of this page's ticket; it throws where neither phone nor garage has the car's part. */
export async function modelOfPage() {
  const ofTicket = JSON.parse(document.getElementById("model").textContent);
  const response = await fetch(ofTicket.of);
  if (!response.ok) throw new Error(`${ofTicket.of} answers ${response.status}`);
  return joined(await response.json(), ofTicket);
}
