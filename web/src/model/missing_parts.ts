// Plugs, devices and places that an imported table names and the document does not have: what they are guessed to be.

import type { Connector, Device, End, Graft, Place } from "../api_types";
import { kind_of } from "./device_kinds";
import { terminals_of } from "./ends";
import { id_maker, with_added } from "./loom_edits";

// By words of their names, in the languages of workshop papers.
const kinds: readonly (readonly [RegExp, string])[] = [
  [/\b(earth|ground|gnd|masse|massa|tierra|jord|terre)\b/i, "earth"],
  [/relay|relais|relé|rele\b|relä/i, "relay"],
  [/^f\d+\b|fuse|sicherung|fusible|fusibile|säkring|zekering/i, "fuse"],
  [/battery|batterie|batteria|batería/i, "battery"],
  [/switch|schalter|interrupteur|interruttore|interruptor|brytare|button/i, "switch"],
  [/lamp|light|leuchte|licht|\bfeu|\bluz|\bfaro|lampa/i, "lamp"],
  [/joint|splice|\bbar\b|verbinder|épissure|giunzione/i, "splice"],
  [/valve|ventil|vanne|valvola|válvula/i, "valve"],
  [/pump|motor|\bfan\b|lüfter|moteur|ventilateur/i, "motor"],
  [/horn|hupe|klaxon/i, "horn"],
];

export const kind_guess = (name: string): string | undefined =>
  /^k\d+$/i.test(name.trim()) ? "relay" : kinds.find(([pattern]) => pattern.test(name))?.[1];

const plain = (text: string): string => text.trim().toLowerCase().replace(/\s+/g, " ");

const plug_end = /^((?:C|X|J|P|CN)\d{1,3}[A-Za-z]?)\s*[-:./ ]\s*([A-Za-z]?\d{1,3}[A-Za-z]?)$/i;
const device_end = /^(.*\S)\s*[:]\s*([\w+-]{1,4})$/;

// Makes them, one of each name, and remembers what was made.
export class MissingParts {
  readonly devices: Device[] = [];
  readonly connectors: Connector[] = [];
  readonly places: Place[] = [];
  private readonly device_id: (wanted: string) => string;
  private readonly connector_id: (wanted: string) => string;
  private readonly place_id: (wanted: string) => string;
  private readonly by_name = new Map<string, Device | Connector>();
  private readonly used = new Map<string, number>();

  constructor(doc: Graft) {
    this.device_id = id_maker(doc, "devices");
    this.connector_id = id_maker(doc, "connectors");
    this.place_id = id_maker(doc, "places");
  }

  // The end that a text names, which the document does not have.
  end(text: string): End {
    const plug = plug_end.exec(text.trim());
    if (plug) return { at: this.connector(plug[1] ?? "").id, cavity: plug[2] ?? "" };
    const split = device_end.exec(text.trim());
    const device = this.device(split?.[1] ?? text.trim());
    return { at: device.id, cavity: split?.[2] ?? this.next_terminal(device) };
  }

  place(name: string): string {
    const before = this.places.find((one) => plain(one.name ?? "") === plain(name));
    if (before) return before.id;
    const place: Place = { id: this.place_id(name), name: name.trim() };
    this.places.push(place);
    return place.id;
  }

  device(name: string, kind = kind_guess(name)): Device {
    const before = this.by_name.get(plain(name));
    if (before && this.devices.includes(before)) return before;
    const device: Device = { id: this.device_id(name), name: name.trim(), ...(kind && { kind }), guessed: true };
    this.by_name.set(plain(name), device);
    this.devices.push(device);
    return device;
  }

  private connector(name: string): Connector {
    const before = this.by_name.get(plain(name));
    if (before && this.connectors.includes(before)) return before;
    const plug: Connector = { id: this.connector_id(name), name };
    this.by_name.set(plain(name), plug);
    this.connectors.push(plug);
    return plug;
  }

  // The terminals in turn, as the wires come.
  private next_terminal(device: Device): string {
    const terminals = terminals_of(device);
    const count = this.used.get(device.id) ?? 0;
    this.used.set(device.id, count + 1);
    return terminals.length > 0 ? (terminals[count % terminals.length] ?? "1") : String(count + 1);
  }

  texts(): string[] {
    return [
      ...this.connectors.map((plug) => `the plug ${plug.name}`),
      ...this.devices.map(
        (device) => `the device "${device.name}"${device.kind ? `, ${kind_of(device.kind)?.text ?? device.kind}` : ", of no known kind"}`,
      ),
      ...this.places.map((place) => `the place "${place.name}"`),
    ];
  }

  added_to(doc: Graft): Graft {
    return with_added(with_added(with_added(doc, "connectors", this.connectors), "devices", this.devices), "places", this.places);
  }
}
