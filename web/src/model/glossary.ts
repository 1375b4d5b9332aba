// Trade words that the page uses, in plain English.

export interface GlossaryEntry {
  word: string;
  text: string;
}

const entries: readonly (readonly [string, string])[] = [
  ["added wire", "A wire that the plan puts in. It is not in the vehicle yet."],
  ["as found", "The loom as it is in the vehicle before you change anything."],
  ["as planned", "The loom as it will be: as found, with the moves, additions and retirements of the plan."],
  [
    "back-feed",
    "Current that comes into a circuit from the wrong side, for instance through a second fuse or a lamp, and keeps alive what should be dead.",
  ],
  ["band", "The lowest and highest value that the meter may show if the loom is right. Outside it, something is wrong."],
  ["bundle", "Wires that run together in one sleeve. They warm each other, so each carries less than it could alone."],
  ["cavity", "One hole in a plug, with or without a terminal in it. It is written with its plug: C2-31."],
  ["clash", "A live circuit of the vehicle would meet another function in the donor. Something can burn or be misled."],
  ["clamp energy", "What a coil gives back when it is switched off. The driver has to swallow it unless a diode or resistor does."],
  ["condition", "What is unplugged, switched on or held down while you measure, and where the key is."],
  ["continuity", "An unbroken path. The meter shows close to zero ohms between its two ends."],
  ["deciding", "Of several limits or values, the one that sets the result. Changing another one changes nothing."],
  ["default value", "A figure that the program takes because nobody has stated or measured one. It is marked, and better replaced."],
  ["donor", "The control module that you want to fit, with more circuits than the vehicle's own."],
  ["driver", "The transistor in a module that switches a load."],
  ["far end", "What the other end of a wire is connected to. A wire without one cannot be sized or tested."],
  ["gland or grommet", "The rubber in a hole of the body. Wires must fit through it with room to spare, or it leaks and chafes."],
  ["hazard", "What would happen if the donor were plugged in with the wires as they are: fire, injury, damage or a false signal."],
  ["high side", "The module switches the supply to the load; the load's other end is earthed."],
  ["isolation", "No path between two wires. The meter shows over range."],
  [
    "keep, shift, add, retire",
    "Leave the circuit in its cavity; move it to another; put a new one in; take it out of the plug and tie it back.",
  ],
  ["loom", "All the wires of the vehicle, or of a part of it, with their plugs."],
  ["low side", "The module switches the load to earth; the load's other end has the supply all the time."],
  ["margin", "How far a value is from its limit. Little margin means that a small error tips it over."],
  ["mating side", "The face of a plug that goes into the module. Left and right are swapped against the wire-entry side."],
  ["OL, over range", "What a meter shows when there is no path at all."],
  ["open wire", "A wire whose far end nobody has followed yet."],
  [
    "power earth, sensor earth",
    "Power earth carries the current of loads. Sensor earth only serves sensors: a load on it falsifies every reading.",
  ],
  ["pull-up, pull-down", "A resistor in the module that holds an input high, or low, as long as no switch or sensor decides."],
  ["reference (5 V)", "The steady voltage that a module gives to its sensors. A short on it stops all of them."],
  ["relay", "A switch worked by a coil: a small current in the coil (86 to 85) switches a large one (30 to 87)."],
  ["retire", "Take a circuit out of use: its terminal leaves the plug, and its wire is insulated and tied back."],
  ["settle", "Decide, with a look or a measurement, which of several sources is right about a pin."],
  ["shield", "A braid or foil round a signal pair. It is earthed at one end only."],
  ["splice", "A permanent joint of two or more wires."],
  ["suppression", "A diode or resistor across a coil, so that its turn-off spike does not reach the driver."],
  ["terminal", "The metal contact at the end of a wire, or a numbered connection of a device."],
  ["terminal 15", "Supply that is on only with the key on."],
  ["terminal 30", "Supply straight from the battery, always on."],
  ["terminal 31", "Earth, back to battery negative."],
  ["terminals 85, 86", "The two ends of a relay's coil."],
  ["terminal 87", "The contact of a relay that gets the supply when the coil is on."],
  ["tracer", "The stripe on a wire. In WH/RD the wire is white and the tracer red."],
  ["twisted pair", "Two wires twisted together, so that both pick up the same disturbance and it cancels."],
  ["verdict", "What happens to one circuit in the graft: keep, shift, add, retire, clash or unsure."],
  ["voltage drop", "Volts lost along wires, contacts and earths between the battery and the load."],
  ["wetting current", "The small current that keeps a switch's contacts clean. With too little, an old switch becomes unreliable."],
  ["wire-entry side", "The back of a plug, where the wires go in. That is how you see it with the plug in your hand."],
];

export const glossary: readonly GlossaryEntry[] = entries.map(([word, text]) => ({ word, text }));

// The entry of a word, by its beginning: "wetting".
export const glossary_entry = (word: string): GlossaryEntry | undefined => glossary.find((one) => one.word.startsWith(word));

export function search_glossary(text: string): readonly GlossaryEntry[] {
  const wanted = text.trim().toLowerCase();
  if (!wanted) return glossary;
  const in_word = glossary.filter(({ word }) => word.toLowerCase().includes(wanted));
  return [...in_word, ...glossary.filter((one) => !in_word.includes(one) && one.text.toLowerCase().includes(wanted))];
}
