// The attached meter on a step: what it shows now, what it waits for, and how its value becomes the reading.

import type { Meter, ProveTest } from "../api_types";
import { advice, is_set_for, shown_value, steady_value, trouble_text } from "../model/meter_reading";
import { amount } from "../model/proof";
import { condition_subject } from "../model/tick_subjects";
import { meter_problem, page_id, set_meter, zero_leads } from "../net/meter";
import { set_tick } from "../net/ticks";
import { Switch } from "../parts/switch";
import { route } from "../route";
import { meter_by_itself } from "../settings";

// Volts and amperes need no zero; over range says that nothing touches.
function ZeroButton({ meter }: { meter: Meter }) {
  if (meter.unit !== "ohm") return null;
  return (
    <button type="button" disabled={!meter.steady || meter.over_range} onClick={() => void zero_leads()}>
      {meter.leads_ohm === null ? "Zero the leads" : "Zero the leads again"}
    </button>
  );
}

// Power was on in the last step: a person has to say that it is off before the meter goes to ohms.
function PowerQuestion({ test, condition }: { test: ProveTest; condition: string }) {
  const is_off = async () => {
    await set_tick(condition_subject(test.condition), true, condition);
    await set_meter(route.value.graft, test.id);
  };
  return (
    <>
      <p class="caution">The last step was with power on. The meter stays at volts until the loom is dead again: {condition}</p>
      <button type="button" onClick={() => void is_off()}>
        It is as described: set the meter to ohms
      </button>
    </>
  );
}

function Elsewhere({ test }: { test: ProveTest }) {
  return (
    <>
      <p>Another page has the meter.</p>
      <button type="button" onClick={() => void set_meter(route.value.graft, test.id)}>
        Use it here
      </button>
    </>
  );
}

function Values({ meter, test, save }: { meter: Meter; test: ProveTest; save: (value: number) => void }) {
  const shown = shown_value(meter);
  const steady = steady_value(meter);
  return (
    <>
      <div class="meter-line">
        <output class="meter-live" aria-label="The meter shows" aria-live="off" data-steady={meter.steady}>
          {shown === null ? "–" : amount(shown, test.band.unit)}
        </output>
        <span class="meter-steady">{meter.steady ? "steady" : ""}</span>
      </div>
      <p class="meter-advice soft">
        {test.black_at.text === ""
          ? "This is what its own sockets measure. Type what the clamp shows."
          : advice(meter, meter_by_itself.value)}
      </p>
      <div class="meter-buttons">
        <ZeroButton meter={meter} />
        <button type="button" disabled={steady === null} onClick={() => steady !== null && save(steady)}>
          Take this value
        </button>
      </div>
      {meter.leads_ohm !== null && meter.unit === "ohm" && (
        <p class="soft">The leads have {amount(meter.leads_ohm, "ohm")}; it is taken off.</p>
      )}
      <Switch label="Take readings from the meter by itself" on={meter_by_itself.value} take={(on) => (meter_by_itself.value = on)} />
    </>
  );
}

interface Props {
  meter: Meter;
  test: ProveTest;
  condition: string; // what has to be unplugged and switched off
  save: (value: number) => void;
}

export function MeterPanel({ meter, test, condition, save }: Props) {
  const trouble = trouble_text(meter);
  const problem = meter_problem.value;
  const content = () => {
    if (problem?.code === "live-circuit") return <PowerQuestion test={test} condition={condition} />;
    if (problem) return <p class="caution">{problem.message}</p>;
    if (meter.page !== "" && meter.page !== page_id) return <Elsewhere test={test} />;
    if (trouble) return <p class="meter-trouble">{trouble}. Type the reading, or see to the meter: the page goes on by itself.</p>;
    if (!is_set_for(meter, route.value.graft, test, page_id)) return <p class="soft">The meter is being set for this step.</p>;
    return <Values meter={meter} test={test} save={save} />;
  };
  return (
    <section class="meter-panel stack" aria-label="Attached meter" data-state={meter.state}>
      <p class="soft meter-name">{meter.identity ? meter.identity.split(",").slice(0, 2).join(" ") : "Meter"}</p>
      {content()}
    </section>
  );
}
