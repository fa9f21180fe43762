// A drawing as a picture of points, for what takes no SVG: a letter, a notice, a slide.

/** Points for each unit of a drawing: sharp on paper at the width of a page. */
const scale = 3;

/** The side of a drawing as its head says it, "0 0 390 1184". */
export function sizeOf(svg: string): { width: number; height: number } {
  const box = /^[^>]*?<svg[^>]*\sviewBox="[\d.-]+ [\d.-]+ ([\d.]+) ([\d.]+)"/s.exec(svg.replace(/^<\?xml[^>]*\?>\s*/, ''));
  const [width, height] = [Number(box?.[1]), Number(box?.[2])];
  if (!(width > 0 && height > 0)) throw new Error('That is no drawing.');
  return { width, height };
}

/** Draws it on white. A drawing loads nothing from anywhere: it has its style inside. */
export async function png(svg: string): Promise<Blob> {
  const { width, height } = sizeOf(svg);
  const sized = svg.replace('<svg ', `<svg width="${width * scale}" height="${height * scale}" `);
  const url = URL.createObjectURL(new Blob([sized], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [Math.round(width * scale), Math.round(height * scale)];
    const ink = canvas.getContext('2d');
    if (ink === null) throw new Error('This browser cannot make a picture of it.');
    ink.fillStyle = '#fff';
    ink.fillRect(0, 0, canvas.width, canvas.height);
    ink.drawImage(image, 0, 0);
    return await new Promise((resolve, reject) => canvas.toBlob((b) => (b === null ? reject(new Error('This browser cannot make a picture of it.')) : resolve(b)), 'image/png'));
  } finally {
    URL.revokeObjectURL(url);
  }
}
