/** What went wrong with one part of a solid for the job's sake, not ours. */
export type SolidFaultReason = 'cut-removes-nothing' | 'nothing-left' | 'label-does-not-fit' | 'touches-itself';

/**
 * A solid that cannot be made as asked: which printed part, which node of its expression, and why. The stage that
 * asked for the solid turns it into a problem of the job; a plain Error out of this stage is a bug of ours.
 */
export class SolidFault extends Error {
  override readonly name = 'SolidFault';
  readonly part: string;
  readonly node: string;
  readonly reason: SolidFaultReason;

  constructor(part: string, node: string, fault: { readonly reason: SolidFaultReason; readonly detail: string }) {
    super(`${part}/${node}: ${fault.detail}`);
    this.part = part;
    this.node = node;
    this.reason = fault.reason;
  }
}
