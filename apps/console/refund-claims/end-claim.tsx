import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { RefundClaim } from '../api/shapes';
import { Confirm } from '../parts/confirm';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { refundClaimsKey } from './queries';
import { slipName } from './slip';

const text = words.refundClaims;

interface EndProps {
  readonly claim: RefundClaim;
  readonly onClose: () => void;
}

function useEnding<Body>(end: (body: Body) => Promise<unknown>, onClose: () => void) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: end,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: refundClaimsKey });
      onClose();
    },
  });
}

export function WithdrawClaim({ claim, onClose }: EndProps) {
  const { api } = useOperator();
  const withdrawing = useEnding(api.withdrawRefundClaim, onClose);
  return (
    <Confirm title={text.withdrawTitle(slipName(claim))} action={text.withdraw} busy={withdrawing.isPending} error={withdrawing.error} onConfirm={() => withdrawing.mutate(claim.id)} onClose={onClose}>
      <p>{text.withdrawWhat}</p>
    </Confirm>
  );
}

export function RefuseClaim({ claim, onClose }: EndProps) {
  const { api } = useOperator();
  const refusing = useEnding(api.refuseRefundClaim, onClose);
  return (
    <ConfirmWithReason
      title={text.refuseTitle(slipName(claim))} what={text.refuseWhat} action={text.refuse} busy={refusing.isPending} error={refusing.error}
      onConfirm={(reason) => refusing.mutate({ id: claim.id, reason: reason.trim() })} onClose={onClose}
    />
  );
}
