/** One request of the README's worked job with the answer that stands below it. */
export interface ReadmeStep {
  readonly method: string;
  readonly path: string;
  readonly contentType: string;
  /** Ask again until the answer has the expected state. */
  readonly repeats: boolean;
  readonly body: string | null;
  readonly status: number;
  readonly expected: string;
}

const REQUEST = /^(GET|POST|PUT|PATCH|DELETE) (\/\S+)(?: (text\/csv)| (until) \w+)?$/;

/** Reads the ```http block of the README into its steps, in order. */
export function readmeSteps(readme: string): ReadmeStep[] {
  const block = /```http\n([\s\S]*?)```/.exec(readme)?.[1] ?? '';
  const steps: ReadmeStep[] = [];
  let request: RegExpExecArray | null = null;
  let body: string[] = [];
  let answer: string[] | null = null;
  const finish = () => {
    if (!request || !answer) return;
    const [, status, expected] = /^→ (\d{3}) ?([\s\S]*)$/.exec(answer.join(' ')) ?? [];
    steps.push({
      method: request[1] ?? '',
      path: request[2] ?? '',
      contentType: request[3] ?? 'application/json',
      repeats: request[4] === 'until',
      body: body.length > 0 ? body.join(request[3] ? '\r\n' : ' ') : null,
      status: Number(status),
      expected: expected ?? '',
    });
    request = null;
    body = [];
    answer = null;
  };
  for (const line of block.split('\n')) {
    const begins = REQUEST.exec(line);
    if (begins) {
      finish();
      request = begins;
    } else if (line.startsWith('#') || line === '') {
      finish();
    } else if (line.startsWith('→')) {
      answer = [line];
    } else if (answer) {
      answer.push(line.trim());
    } else {
      body.push(line);
    }
  }
  finish();
  return steps;
}

/** Names in capitals: bare in an expected answer they take a value, elsewhere they stand for it. */
export class ReadmeNames {
  readonly values: Map<string, string>;

  constructor(given: Readonly<Record<string, string>>) {
    this.values = new Map(Object.entries(given));
  }

  fill(text: string): string {
    const names = [...this.values.keys()].sort((a, b) => b.length - a.length);
    return names.reduce(
      (filled, name) =>
        filled.replaceAll(new RegExp(`\\b${name}\\b`, 'g'), this.values.get(name) ?? ''),
      text,
    );
  }

  /** The expected answer as a value; each bare name becomes a place that takes what stands there. */
  expectation(text: string): unknown {
    const marked = text.replace(/(?<=[[:{,]\s*)([A-Z][A-Z_]+)(?=\s*[,}\]])/g, '"§$1"');
    return marked === '' ? {} : JSON.parse(marked);
  }

  /** Checks that the answer holds everything expected; returns where it does not, and takes names. */
  differences(expected: unknown, actual: unknown, at = ''): string[] {
    if (typeof expected === 'string' && expected.startsWith('§')) {
      if (typeof actual !== 'string') return [`${at}: nothing to take for ${expected.slice(1)}`];
      this.values.set(expected.slice(1), actual);
      return [];
    }
    if (typeof expected === 'number' && typeof actual === 'number') {
      const decimals = String(expected).split('.')[1]?.length ?? 0;
      return actual.toFixed(decimals) === expected.toFixed(decimals) ? [] : [`${at}: ${actual}`];
    }
    if (typeof expected !== 'object' || expected === null) {
      return expected === actual ? [] : [`${at}: ${JSON.stringify(actual)}`];
    }
    return Object.entries(expected).flatMap(([key, value]) =>
      this.differences(value, (actual as Record<string, unknown> | null)?.[key], `${at}/${key}`),
    );
  }
}
