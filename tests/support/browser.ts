import { existsSync, mkdirSync } from 'node:fs';
import { mkdtemp, rename, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { type Browser, chromium } from 'playwright-core';
import manifest from '../../package.json' with { type: 'json' };

const VERSION = manifest.devDependencies['@sparticuz/chromium'];
const FOLDER = join(
  import.meta.dirname,
  '..',
  '..',
  'node_modules',
  '.cache',
  `chromium-${VERSION}`,
);

/** The fonts of the package alone, whatever the machine has: pictures are alike everywhere. */
const FONTS = `<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>${join(FOLDER, 'fonts', 'fonts')}</dir><cachedir>${join(FOLDER, 'fonts-cache')}</cachedir></fontconfig>
`;

/**
 * Unpacks the Chromium of the npm package beside the other packages, with the system libraries and
 * fonts that it needs, so that a machine with Node.js alone can run it. The folder gets its name
 * last, so that one that is there is whole.
 */
export async function unpackBrowser(): Promise<void> {
  if (existsSync(FOLDER)) return;
  mkdirSync(dirname(FOLDER), { recursive: true });
  const unfinished = await mkdtemp(`${FOLDER}-`);
  await withEnvironment(
    {
      TMPDIR: unfinished,
      // Makes the package unpack its libraries too, as it does where there are none.
      AWS_EXECUTION_ENV: 'nodejs20.x',
      LD_LIBRARY_PATH: undefined,
      FONTCONFIG_PATH: undefined,
    },
    async () => {
      const { default: packaged } = await import('@sparticuz/chromium');
      await packaged.executablePath();
    },
  );
  await writeFile(join(unfinished, 'fonts.conf'), FONTS);
  await rename(unfinished, FOLDER);
}

/** How the unpacked Chromium is started without a window. */
export const browserCommand = () => ({
  executablePath: join(FOLDER, 'chromium'),
  args: ['--no-sandbox', '--disable-gpu', '--font-render-hinting=none'],
  env: {
    ...onlyTexts(process.env),
    LD_LIBRARY_PATH: join(FOLDER, 'al2023', 'lib'),
    FONTCONFIG_FILE: join(FOLDER, 'fonts.conf'),
  },
});

/** Starts the unpacked Chromium without a window. */
export const startBrowser = (): Promise<Browser> => chromium.launch(browserCommand());

async function withEnvironment<Value>(
  wanted: Readonly<Record<string, string | undefined>>,
  work: () => Promise<Value>,
): Promise<Value> {
  const before = Object.fromEntries(Object.keys(wanted).map((name) => [name, process.env[name]]));
  setEnvironment(wanted);
  try {
    return await work();
  } finally {
    setEnvironment(before);
  }
}

function setEnvironment(values: Readonly<Record<string, string | undefined>>) {
  for (const [name, value] of Object.entries(values)) {
    if (value === undefined) delete process.env[name];
    else process.env[name] = value;
  }
}

const onlyTexts = (environment: NodeJS.ProcessEnv): Record<string, string> =>
  Object.fromEntries(
    Object.entries(environment).filter(
      (entry): entry is [string, string] => entry[1] !== undefined,
    ),
  );
