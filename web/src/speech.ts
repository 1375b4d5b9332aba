// Speech and tones of this device. Nothing sounds unless the device's switch is on.

import { speak_steps } from "./settings";

export const can_speak = (): boolean => "speechSynthesis" in window && "SpeechSynthesisUtterance" in window;

export function speak(text: string): void {
  if (!speak_steps.value || !can_speak()) return;
  window.speechSynthesis.cancel(); // the step before is over
  const spoken = new SpeechSynthesisUtterance(text);
  spoken.lang = "en-GB";
  window.speechSynthesis.speak(spoken);
}

export function be_quiet(): void {
  if (can_speak()) window.speechSynthesis.cancel();
}

const in_band_hz = 1320;
const out_of_band_hz = 220;
const tone_s = 0.25;
const loudness = 0.3;
let sound: AudioContext | null = null;

// High: in band. Low: out of band.
export function sound_result(in_band: boolean): void {
  if (!speak_steps.value || !("AudioContext" in window)) return;
  sound ??= new AudioContext();
  void sound.resume();
  const tone = sound.createOscillator();
  const volume = sound.createGain();
  const now = sound.currentTime;
  tone.frequency.value = in_band ? in_band_hz : out_of_band_hz;
  // Fades, for a tone that is cut off clicks.
  volume.gain.setValueAtTime(loudness, now);
  volume.gain.linearRampToValueAtTime(0, now + tone_s);
  tone.connect(volume).connect(sound.destination);
  tone.start(now);
  tone.stop(now + tone_s);
}
