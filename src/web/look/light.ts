import { signal } from '@preact/signals';

export const LIGHTS = ['system', 'light', 'dark'] as const;
/** Whether pages are light or dark; `system`: as the device is set. */
export type Light = (typeof LIGHTS)[number];

const KEPT_AS = 'hoopwright.light';

const kept = localStorage.getItem(KEPT_AS);

export const light = signal<Light>(LIGHTS.find((each) => each === kept) ?? 'system');

/** Changes between light and dark, and remembers the choice. */
export function chooseLight(next: Light): void {
  light.value = next;
  localStorage.setItem(KEPT_AS, next);
  showLight();
}

/** Puts the remembered choice on the document. */
export function showLight(): void {
  if (light.value === 'system') delete document.documentElement.dataset.light;
  else document.documentElement.dataset.light = light.value;
}
