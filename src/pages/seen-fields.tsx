import type { Form } from './guard/form.js';

/** What a form of a visit was about when it was shown: hours may pass at the bench, and the plan may change meanwhile. */
export function SeenFields({
  machine,
  tasks,
  atMs,
}: {
  readonly machine: string;
  readonly tasks: readonly string[];
  readonly atMs: number;
}) {
  return (
    <>
      <input type="hidden" name="machine" value={machine} />
      <input type="hidden" name="seen" value={String(atMs)} />
      {tasks.map((task) => (
        <input type="hidden" name="held" value={task} />
      ))}
    </>
  );
}

/** When the form was shown first; undefined where it does not say. */
export function seenAt(form: Form): number | undefined {
  const text = form.text('seen');
  return /^\d{1,15}$/.test(text) ? Number(text) : undefined;
}
