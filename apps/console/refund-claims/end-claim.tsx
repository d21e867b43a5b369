import type { RefundClaim } from '../api/shapes';
import { Confirm } from '../parts/confirm';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useEnding } from '../parts/use-ending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { refundClaimsKey } from './queries';
import { slipName } from './slip';

const text = words.refundClaims;

interface EndProps {
  readonly claim: RefundClaim;
  readonly onClose: () => void;
}

export function WithdrawClaim({ claim, onClose }: EndProps) {
  const { api } = useOperator();
  const withdrawing = useEnding({ send: api.withdrawRefundClaim, changes: [refundClaimsKey], onDone: onClose });
  return (
    <Confirm title={text.withdrawTitle(slipName(claim))} action={text.withdraw} busy={withdrawing.isPending} error={withdrawing.error} onConfirm={() => withdrawing.mutate(claim.id)} onClose={onClose}>
      <p>{text.withdrawWhat}</p>
    </Confirm>
  );
}

export function RefuseClaim({ claim, onClose }: EndProps) {
  const { api } = useOperator();
  const refusing = useEnding({ send: api.refuseRefundClaim, changes: [refundClaimsKey], onDone: onClose });
  return (
    <ConfirmWithReason
      title={text.refuseTitle(slipName(claim))} what={text.refuseWhat} action={text.refuse} busy={refusing.isPending} error={refusing.error}
      onConfirm={(reason) => refusing.mutate({ id: claim.id, reason: reason.trim() })} onClose={onClose}
    />
  );
}
