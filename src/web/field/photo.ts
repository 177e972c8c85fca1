/** A millimetre is a pixel on a photo of one square metre; a weak network carries it in seconds. */
const LONGEST_SIDE_PX = 1_280;
const QUALITY = 0.75;

/**
 * Makes a photo small enough to be kept by the dozen and sent over a weak network. Drawing it anew
 * leaves behind its place, device and other hidden data.
 *
 * @throws when the file is no picture that the browser can read
 */
export async function smallPhoto(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
  try {
    const scale = Math.min(1, LONGEST_SIDE_PX / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    const drawing = canvas.getContext('2d');
    if (!drawing) throw new Error('This browser cannot draw pictures.');
    drawing.drawImage(picture, 0, 0, canvas.width, canvas.height);
    const made = await new Promise<Blob | null>((resolve) => {
      canvas.toBlob(resolve, 'image/jpeg', QUALITY);
    });
    if (!made) throw new Error('The picture could not be made smaller.');
    return made;
  } finally {
    picture.close();
  }
}
