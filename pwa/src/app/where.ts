// Where the app runs. On an iPhone the app on the Home Screen and the tab of
// the browser have stores of their own: what is kept in one is not in the other (T5).
export interface Device {
  userAgent: string;
  maxTouchPoints?: number;
  /** Only iPhones and iPads say this. */
  standalone?: boolean;
}

/** A tab of a browser on an iPhone or iPad, and not the app on the Home Screen. */
export function inAppleTab(d: Device, standaloneDisplay: boolean): boolean {
  const phone = /iPhone|iPod|iPad/.test(d.userAgent);
  const tablet = /Macintosh/.test(d.userAgent) && (d.maxTouchPoints ?? 0) > 1; // an iPad that asks for desk pages
  return (phone || tablet) && d.standalone !== true && !standaloneDisplay;
}

export const hereInAppleTab = (): boolean => inAppleTab(navigator as Device, matchMedia('(display-mode: standalone)').matches);
