// What the lead asks of the office about phones, codes, links and what was done.
import { askOffice } from './core';

export interface Phone {
  device: string; name: string; role: string; paired: string; revoked?: string;
  state?: { seen: string; app: string; core: string; unsent: number; photos: number; offset_ms: number };
}

/** The paired phones, and which of them is in hand. */
export const phones = (): Promise<{ devices: Phone[]; own: string }> => askOffice('/api/v1/devices');
export const setRole = (device: string, role: string): Promise<void> => askOffice(`/api/v1/devices/${device}`, { role }, 'PATCH');
export const renewKey = (device: string): Promise<void> => askOffice(`/api/v1/devices/${device}/key`, {});
export const revokePhone = (device: string): Promise<void> => askOffice(`/api/v1/devices/${device}`, null, 'DELETE');

export interface Code { code: string; role: string; expires_in: number }

/** A code for one phone, good once. */
export const drawCode = (role: string): Promise<Code> => askOffice('/api/v1/codes', { role });

export interface Link { id: string; name: string; people: boolean; created: string; expires: string; revoked?: string }

export const links = async (): Promise<Link[]> => (await askOffice<{ links: Link[] }>('/api/v1/jobs/{job}/links')).links;
/** The whole address of a new link: it is shown this once. */
export const makeLink = async (name: string, people: boolean): Promise<string> =>
  location.origin + (await askOffice<{ path: string }>('/api/v1/jobs/{job}/links', { name, people })).path;
export const revokeLink = (id: string): Promise<void> => askOffice(`/api/v1/jobs/{job}/links/${id}`, null, 'DELETE');

export interface Deed { at: string; device?: string; action: string; subject?: string; detail?: string }

export const deeds = async (): Promise<Deed[]> => (await askOffice<{ lines: Deed[] }>('/api/v1/audit')).lines;
