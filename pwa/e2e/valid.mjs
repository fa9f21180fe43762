// HTML against the standard's rules, by a validator that shares nothing with what wrote it.
import { HtmlValidate } from 'html-validate';

const rules = new HtmlValidate({
  extends: ['html-validate:standard', 'html-validate:document'],
  rules: { 'require-sri': 'off' }, // for scripts from elsewhere; there are none: the pages' policy lets none in
});

/** Throws with the first faults of a whole page. */
export async function valid(html, what) {
  const { results } = await rules.validateString(html);
  const faults = results.flatMap((r) => r.messages.map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`));
  if (faults.length > 0) throw new Error(`${what}, ${faults.length} faults:\n${faults.slice(0, 10).join('\n')}`);
}
