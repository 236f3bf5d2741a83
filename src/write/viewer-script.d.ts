/** Made by the build (`node/bundle-page.ts`) from `page/viewer`. */

/** The report's viewer, bundled into one classic script. */
export const VIEWER_SCRIPT: string;
/** Its source expression in a Content-Security-Policy: `sha256-` and the base64 of its hash. */
export const VIEWER_HASH: string;
/** The same of `REPORT_STYLE`. */
export const STYLE_HASH: string;
