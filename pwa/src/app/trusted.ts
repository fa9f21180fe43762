// The page's one Trusted Types policy: it lets through the app's own scripts
// and drawings that come from the core, and nothing else.
interface Policy { createHTML(s: string): string; createScriptURL(s: string): string }
interface Factory { createPolicy(name: string, rules: Partial<Policy>): Policy }

const rules: Policy = {
  createHTML(text) {
    if (!text.startsWith('<svg ') || /<script|<foreignObject|\son\w+\s*=|javascript:/i.test(text)) throw new TypeError('not a drawing of the core');
    return text;
  },
  createScriptURL(url) {
    const target = new URL(url, location.href);
    if (target.origin !== location.origin) throw new TypeError('a script from elsewhere');
    return target.href;
  },
};

const factory = (globalThis as { trustedTypes?: Factory }).trustedTypes;
export const trusted: Policy = factory?.createPolicy('witnessmark', rules) ?? rules;

/** A drawing of the core as an element. */
export function drawing(svg: string): Element {
  const parsed = new DOMParser().parseFromString(trusted.createHTML(svg), 'image/svg+xml');
  return document.importNode(parsed.documentElement, true);
}
