// The home screen's way in: the car last used, as far as this phone remembers one.

import { recall } from "./store.js";

const car = await recall("last car").catch(() => undefined);
location.replace(car ? `/cars/${encodeURIComponent(car)}` : "/cars");
