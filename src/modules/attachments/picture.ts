import sharp from 'sharp';
import type { ImageMediaType } from '../../../shared/contract/attachment.ts';
import { DomainError, invalidContent } from '../../domain/errors.ts';

// Of all formats that libvips can open, these three and no other, and none from a file or an address.
sharp.block({ operation: ['VipsForeignLoad'] });
sharp.unblock({
  operation: ['VipsForeignLoadJpegBuffer', 'VipsForeignLoadPngBuffer', 'VipsForeignLoadWebpBuffer'],
});

/** Most pixels that are decoded, as the header declares them: 50 million. */
const MAX_PIXELS = 50_000_000;
/** Longest side that is kept: enough to see a crack in a wall on the whole picture of a tank. */
const MAX_SIDE_PX = 2_560;
const DECODING_LIMIT_S = 15;
const QUALITY = 82;
/** Pictures decoded at the same time; each may need a few hundred megabytes. */
const MAX_AT_ONCE = 2;
/** Few, because a request that waits here holds its connection to the database. */
const MAX_WAITING = 4;

const FORMATS = {
  'image/jpeg': 'jpeg',
  'image/png': 'png',
  'image/webp': 'webp',
} as const satisfies Record<ImageMediaType, string>;

/**
 * Decodes a picture and encodes it anew, turned upright and at most 2,560 pixels long. Nothing but
 * the pixels is carried over: no place, device, date, thumbnail or colour profile, and no bytes that
 * some other program could read as another kind of file.
 *
 * @throws {DomainError} `invalid-content` for what is not a whole picture of the declared type;
 *   `too-large` beyond 50 million pixels
 */
export async function storablePicture(bytes: Buffer, mediaType: ImageMediaType): Promise<Buffer> {
  if (bytes.length === 0) throw notAPicture(mediaType);
  return inTurn(async () => {
    await checkHeader(bytes, mediaType);
    const picture = sharp(bytes, { limitInputPixels: MAX_PIXELS, failOn: 'error', pages: 1 })
      .autoOrient()
      .resize({
        width: MAX_SIDE_PX,
        height: MAX_SIDE_PX,
        fit: 'inside',
        withoutEnlargement: true,
      })
      .timeout({ seconds: DECODING_LIMIT_S });
    try {
      return await picture.toFormat(FORMATS[mediaType], { quality: QUALITY }).toBuffer();
    } catch (error) {
      throw notAPicture(mediaType, error);
    }
  });
}

async function checkHeader(bytes: Buffer, mediaType: ImageMediaType): Promise<void> {
  const found = await sharp(bytes, { limitInputPixels: false, pages: 1 })
    .metadata()
    .catch((error: unknown) => {
      throw notAPicture(mediaType, error);
    });
  if (found.format !== FORMATS[mediaType]) throw notAPicture(mediaType);
  const pixelCount = found.width * found.height;
  if (pixelCount > MAX_PIXELS) {
    throw new DomainError('too-large', {
      detail: `The picture has ${pixelCount} pixels (${found.width} by ${found.height}); ${MAX_PIXELS} is the most.`,
    });
  }
}

const notAPicture = (mediaType: ImageMediaType, cause?: unknown) => {
  const refusal = invalidContent([
    { pointer: '', code: 'picture.unreadable', message: `is not a whole picture of ${mediaType}` },
  ]);
  return new DomainError(refusal.code, { ...refusal.details, cause });
};

let runningCount = 0;
const waiting: (() => void)[] = [];

async function inTurn<Result>(work: () => Promise<Result>): Promise<Result> {
  if (runningCount < MAX_AT_ONCE) runningCount += 1;
  else if (waiting.length < MAX_WAITING) {
    await new Promise<void>((resolve) => waiting.push(resolve));
  } else {
    throw new DomainError('unavailable', {
      detail: 'Too many pictures arrive at once; send this one again in a moment.',
      retryAfterS: 5,
    });
  }
  try {
    return await work();
  } finally {
    const next = waiting.shift();
    if (next) next();
    else runningCount -= 1;
  }
}
