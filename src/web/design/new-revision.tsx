import { useSignal } from '@preact/signals';
import type { DesignRevision } from '../../../shared/contract/design-revision.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { post } from '../api/client.ts';
import { Button } from '../parts/button.tsx';
import { Failure } from '../parts/failure.tsx';
import { go } from '../route/address.ts';
import { may } from '../session/session.ts';
import { say } from './say.ts';

interface NewRevisionProps {
  readonly designId: string;
  readonly input: TankDesignInput;
}

/** Keeps the dimensions of the sliders as a new revision, for those who may design. */
export function NewRevision({ designId, input }: NewRevisionProps) {
  const isSending = useSignal(false);
  const failure = useSignal<unknown>(undefined);
  if (!may('designs:write')) return null;
  const save = async () => {
    isSending.value = true;
    failure.value = undefined;
    try {
      const made = await post<DesignRevision>(`/tank-designs/${designId}/revisions`, { input });
      go(`/designs/${made.body.id}`);
    } catch (error) {
      failure.value = error;
    } finally {
      isSending.value = false;
    }
  };
  return (
    <>
      <Button disabled={isSending.value} onClick={() => void save()}>
        {say('save-revision')}
      </Button>
      {failure.value === undefined ? null : <Failure error={failure.value} />}
    </>
  );
}
