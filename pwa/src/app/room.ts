// Whether the phone has room for a photo or a voice note (T8). Readings need
// little; what is held back here keeps them safe from a photo.

export interface Room { short: boolean; free: number }

export type Estimate = () => Promise<{ quota?: number; usage?: number }>;

/** Left for readings whatever else comes, in bytes. */
export const heldBack = 20 << 20;

const fromBrowser: Estimate = async () => (await navigator.storage?.estimate?.()) ?? {};

/** A browser that does not say is taken at its word when it refuses, and not before. */
export async function roomFor(bytes: number, estimate: Estimate = fromBrowser): Promise<Room> {
  const { quota, usage } = await estimate().catch(() => ({ quota: undefined, usage: undefined }));
  if (quota === undefined || usage === undefined) return { short: false, free: 0 };
  const free = Math.max(0, quota - usage);
  return { short: free < bytes + heldBack, free };
}

/** Bytes as people say them. */
export function megabytes(bytes: number): string {
  return bytes < 1_000_000 ? 'under 1 MB' : `${Math.round(bytes / 1_000_000)} MB`;
}
