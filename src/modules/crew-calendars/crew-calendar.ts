import ical, {
  ICalCalendarMethod,
  type ICalEventData,
  ICalEventStatus,
  ICalEventTransparency,
} from 'ical-generator';
import type { Stage, StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { CrewToShow, CrewWork } from './repository.ts';

/** How often a calendar program may look again. */
const REFRESH_S = 3_600;
/** Of every UID: names the project, never the host, so that a moved service keeps its events. */
const UID_SUFFIX = 'season-plan.hoopwright';

const PRODUCT = { company: 'hoopwright', product: 'crew calendar', language: 'EN' } as const;
const STANDING_LINE =
  'Dates are those of the published plan. Local codes and licensed practice come first.';

export interface CalendarToWrite {
  readonly crew: CrewToShow;
  readonly work: readonly CrewWork[];
  /** Stages by kind of tank. */
  readonly templates: ReadonlyMap<string, StageTemplate>;
}

/**
 * A crew's work as iCalendar (RFC 5545): one all-day event a build and stage, the same UID in every
 * version of the plan, its SEQUENCE the version. What the crew had once and has no longer is cancelled
 * by the version after. Waits stand in the description: nobody is busy with them.
 */
export function crewCalendar({ crew, work, templates }: CalendarToWrite): string {
  const calendar = ical({
    prodId: PRODUCT,
    method: ICalCalendarMethod.PUBLISH,
    name: `${crew.code}, ${crew.programmeName}`,
    ttl: REFRESH_S,
  });
  for (const each of work) {
    const stage = templates.get(each.tankKindId)?.find(({ code }) => code === each.stageCode);
    calendar.createEvent(eventOf(each, stage));
  }
  return calendar.toString();
}

function eventOf(work: CrewWork, stage: Stage | undefined): ICalEventData {
  const isCancelled = !work.isInPlan || work.cancelledOn !== null;
  const changedAt = instantOf(changeOf(work));
  const title = `${work.buildCode} ${stage?.title ?? work.stageCode}, ${work.villageName}`;
  return {
    id: `${work.buildId}.${work.stageCode}@${UID_SUFFIX}`,
    sequence: work.versionNumber + (isCancelled ? 1 : 0),
    stamp: changedAt,
    lastModified: changedAt,
    allDay: true,
    start: instantOf(work.startsOn),
    end: instantOf(addDays(work.finishesOn, 1)),
    summary: isCancelled ? `Cancelled: ${title}` : title,
    location: [work.villageName, work.district].filter((part) => part !== '').join(', '),
    description: isCancelled ? whyCancelled(work) : descriptionOf(stage),
    status: isCancelled ? ICalEventStatus.CANCELLED : ICalEventStatus.CONFIRMED,
    transparency: isCancelled ? ICalEventTransparency.TRANSPARENT : ICalEventTransparency.OPAQUE,
  };
}

/** When the event came to stand as it does. */
function changeOf({ isInPlan, cancelledOn, publishedAt, droppedAt }: CrewWork): string {
  if (!isInPlan) return droppedAt ?? publishedAt;
  return cancelledOn !== null && cancelledOn > publishedAt ? cancelledOn : publishedAt;
}

const instantOf = (iso: string) => new Date(iso);

const whyCancelled = ({ cancelledOn }: CrewWork): string =>
  cancelledOn === null
    ? 'The published plan no longer gives this stage to this crew.'
    : `The build was cancelled on ${cancelledOn}.`;

const list = (items: readonly string[]) => items.join('; ');

function descriptionOf(stage: Stage | undefined): string {
  if (stage === undefined) return STANDING_LINE;
  const { needs, minimumWaitDays, maximumWaitDays, holdPoint, releasedBy, cautions } = stage;
  const lines = [
    needs.length > 0 ? `Needs first: ${list(needs)}.` : '',
    minimumWaitDays > 0 ? `Then it waits ${daysText(minimumWaitDays)} before work goes on.` : '',
    maximumWaitDays === undefined
      ? ''
      : `What follows starts within ${daysText(maximumWaitDays)} after it.`,
    holdPoint === 'hold' ? `Hold point: nothing goes on before the ${releasedBy} releases it.` : '',
    holdPoint === 'witness' ? `Witness point: tell the ${releasedBy}, who may attend.` : '',
    ...cautions.map((caution) => `Caution: ${caution}`),
    STANDING_LINE,
  ];
  return lines.filter((line) => line !== '').join('\n');
}

const daysText = (days: number) => (days === 1 ? '1 day' : `${days} days`);
