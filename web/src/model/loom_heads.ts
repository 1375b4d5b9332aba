// What the heads of a pasted table mean: words in several languages for each column of the loom's tables.

import published from "../../../data/column_heads.csv";
import { cells_of } from "./csv";

const words: Record<string, string> = {
  id: "id",
  signal: "name|signal|function|circuit|description|funktion|bezeichnung|fonction|funzione|función|funcion|beschreibung|functie",
  name: "name|device|component|part name|fuse|fuse no|no|nr|number|plug|connector|place|joint|earth|bauteil|gerät|sicherung|stecker|ort|composant|appareil|fusible|numéro|componente|fusibile|säkring|komponent|zekering|sikring|namn|nom|nome|nombre",
  from: "from|von|de|da|desde|från|van|fra|start|end 1|end a|origin",
  to: "to|nach|zu|à|vers|a|hasta|till|naar|til|destination|goes to|end 2|end b|ziel",
  colour: "colour|color|wire|wire colour|wire color|farbe|leitungsfarbe|couleur|colore|färg|kleur|farve",
  area_mm2:
    "size|wire size|section|cross section|cross-section|area|mm2|mm²|sqmm|awg|gauge|querschnitt|qmm|sezione|sección|seccion|tvärsnitt|doorsnede|tværsnit",
  length_mm: "length|länge|laenge|longueur|lunghezza|longitud|längd|lengte|længde",
  insulation: "insulation|cable type|type of cable|isolation|leitungstyp|isolant|isolamento|aislamiento|isolering",
  along: "along|path|paths|route|routing|via|weg|verlegung|chemin|percorso|recorrido",
  twist: "twisted with|twist|twisted|verdrillt|torsadé|intrecciato",
  kind: "kind|type|art|typ|genre|tipo|slag|soort",
  model: "model|family|modell|modèle|modello|modelo|type of fuse",
  place: "place|location|position|ort|einbauort|lieu|emplacement|posizione|ubicación|plats|plaats|sted",
  resistance_ohm: "resistance|ohm|ohms|widerstand|résistance|resistenza|resistencia|weerstand|modstand",
  rating_a: "rating|amps|amp|ampere|a|fuse rating|nennstrom|stärke|calibre|intensité|amperaggio|amperaje|märkström|sterkte",
  current_a: "current|load current|strom|courant|corrente|corriente|ström|stroom",
  forbidden: "forbidden|verboten|interdit|vietato|prohibido",
  protects:
    "protects|load|loads|consumer|consumers|circuit|circuits|function|verbraucher|funktion|stromkreis|consommateur|fonction|protège|utenza|utilizzatore|protegge|consumidor|protege|förbrukare|verbruiker",
  fed: "fed from|fed by|feed|supply|supplied from|source|terminal|klemme|kl|versorgung|borne|alimentation|alimentazione|morsetto|alimentación|matning|voeding",
  part: "part|part number|part no|housing|teilenummer|référence|codice",
  housing_colour: "housing|housing colour|plug colour|gehäuse",
  mates: "mates with|mates|mate|gegenstück",
  view: "seen from|view|ansicht|vue",
  latch: "latch|rast|verriegelung",
  sealed: "sealed|dicht|étanche",
  hottest_c: "hottest|temperature|temp|temperatur|température|temperatura",
  wet: "wet|nass|humide|bagnato",
  moving: "moving|beweglich|mobile",
  access_min: "access|minutes|zugang|accès",
  shortest_mm: "shortest|min length|kürzeste",
  longest_mm: "longest|max length|längste",
  opening_mm: "opening|grommet|öffnung|ouverture",
  caution: "caution|note|remark|warning|hinweis|attention|attenzione",
  connector: "plug|connector|conn|stecker|connecteur|connettore|conector",
  cavity: "cavity|pin|terminal",
};

const plain = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[([,].*$/, "")
    .replace(/[.:_]/g, " ")
    .replace(/\s+/g, " ")
    .trim();

const sets = new Map(Object.entries(words).map(([key, list]) => [key, new Set(list.split("|"))]));

// The heads of pin tables that people meet stand for the same facts of a wire.
for (const [head = "", role] of cells_of(published, ",").slice(1)) {
  if (role === "colour") sets.get("colour")?.add(head);
  if (role === "signal") sets.get("signal")?.add(head);
  if (role === "far_end") sets.get("to")?.add(head);
}

// The first of the columns that the head can mean.
export const meaning_of_head = (head: string, keys: readonly string[]): string | undefined =>
  keys.find((key) => sets.get(key)?.has(plain(head)));

// The unit that a head names: "Length (mm)", "Size, AWG".
export function unit_in_head(head: string): string {
  const found =
    /[([,]\s*(mm²|mm2|mm|cm|m|ft|in|awg|a|ma|ohm|ω|kohm|°?c|min)[\s)\]]*(?:,.*)?$/i.exec(head) ?? /^(awg|mm²|mm2)$/i.exec(head.trim());
  return (found?.[1] ?? "").toLowerCase();
}
