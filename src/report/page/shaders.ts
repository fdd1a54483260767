/** Where a vertex is drawn between the model and the sheet; `placeCorner` is the same sum. */
const PLACE = `
uniform sampler2D uFrames;
uniform float uOpen;
uniform float uCarry;
uniform float uSheetSize;
uniform vec2 uSheetCentre;
vec3 turnBy(vec4 q, vec3 v) { return v + 2.0 * cross(q.xyz, cross(q.xyz, v) + q.w * v); }
vec3 place(vec3 p, vec2 uv, float chart) {
  if (uOpen <= 0.0 || chart < 0.0) return p;
  int i = int(chart + 0.5);
  ivec2 at = ivec2(3 * (i % 512), i / 512);
  vec4 a = texelFetch(uFrames, at, 0);
  vec4 q = texelFetch(uFrames, at + ivec2(1, 0), 0);
  vec2 c = texelFetch(uFrames, at + ivec2(2, 0), 0).xy;
  vec3 flatPlace = vec3((uv - c) * a.w, 0.0);
  vec3 local = mix(turnBy(vec4(-q.xyz, q.w), p - a.xyz), flatPlace, uOpen);
  vec3 onSheet = vec3((c - uSheetCentre) * uSheetSize, 0.0);
  vec4 still = normalize(mix(q, vec4(0.0, 0.0, 0.0, 1.0), uCarry));
  return turnBy(still, local * mix(1.0, uSheetSize / a.w, uCarry)) + mix(a.xyz * (1.0 + 0.35 * uOpen), onSheet, uCarry);
}
`;

const FACE_TEXEL = `
vec4 faceTexel(sampler2D map, float face) {
  int i = int(face + 0.5);
  return texelFetch(map, ivec2(i % 2048, i / 2048), 0);
}
`;

export const SURFACE_VERTEX = `
in vec3 smoothNormal;
in vec2 sheet;
in float face;
in float chart;
in vec3 rim;
out vec3 vView;
out vec3 vNormal;
out vec2 vSheet;
out vec3 vRim;
flat out float vFace;
flat out float vChart;
${PLACE}
void main() {
  vec4 view = modelViewMatrix * vec4(place(position, sheet, chart), 1.0);
  vView = view.xyz;
  vNormal = normalMatrix * smoothNormal;
  vSheet = sheet;
  vRim = rim;
  vFace = face;
  vChart = chart;
  gl_Position = projectionMatrix * view;
}
`;

export const SURFACE_FRAGMENT = `
in vec3 vView;
in vec3 vNormal;
in vec2 vSheet;
in vec3 vRim;
flat in float vFace;
flat in float vChart;
uniform sampler2D uShade;
uniform float uOpen;
uniform float uRelief;
uniform float uCloth;
uniform float uLines;
uniform float uLitChart;
uniform float uLitFace;
uniform vec3 uInk;
out vec4 colour;
${FACE_TEXEL}
/* A gingham cloth: bands across and up, darker where both meet, with a button there whose notch points up. */
vec3 cloth(vec3 base) {
  vec2 g = vSheet * uCloth;
  vec2 w = max(fwidth(g), vec2(1e-5));
  vec2 f = abs(fract(g / 2.0) * 2.0 - 1.0);
  vec2 band = smoothstep(0.5 - w, 0.5 + w, f);
  float fade = 1.0 - smoothstep(0.5, 1.2, max(w.x, w.y));
  float tone = mix(0.5, (band.x + band.y) * 0.5, fade);
  vec3 cloth = mix(base, base * vec3(0.42, 0.47, 0.56), tone * 0.85);
  vec2 c = (fract(g / 2.0 + 0.5) - 0.5) * 2.0;
  float r = length(c);
  float soft = max(w.x, w.y);
  float disc = 1.0 - smoothstep(0.3 - soft, 0.3 + soft, r);
  float notch = step(0.0, c.y) * (1.0 - smoothstep(0.07 - soft, 0.07 + soft, abs(c.x)));
  cloth = mix(cloth, mix(base, vec3(1.0), 0.55), disc * (1.0 - notch) * fade);
  return cloth;
}
void main() {
  vec3 facet = normalize(cross(dFdx(vView), dFdy(vView)));
  vec3 n = normalize(mix(normalize(vNormal) * (gl_FrontFacing ? 1.0 : -1.0), facet, smoothstep(0.0, 0.2, uOpen)));
  if (uOpen <= 0.0 && dot(n, facet) < 0.0) n = -n;
  vec3 base = faceTexel(uShade, vFace).rgb;
  if (uCloth > 0.0) base = cloth(base);
  if (abs(vChart - uLitChart) < 0.5) {
    float stripe = abs(fract((gl_FragCoord.x + gl_FragCoord.y) / 9.0) - 0.5) * 2.0;
    base = mix(base, uInk, 0.2 * smoothstep(0.6, 0.8, stripe) + 0.05);
  }
  if (abs(vFace - uLitFace) < 0.5) base = mix(base, uInk, 0.3);
  if (uLines > 0.0) {
    /* Along a side that is no edge of the face the rim is 1 throughout. */
    vec3 w = max(fwidth(vRim), vec3(1e-4));
    vec3 d = smoothstep(vec3(0.0), w * 1.2, vRim);
    float line = 1.0 - min(min(d.x, d.y), d.z);
    float room = 1.0 - smoothstep(0.15, 0.4, max(max(w.x, w.y), w.z));
    base = mix(base, uInk, 0.4 * line * uLines * room);
  }
  float light = 0.56 + 0.44 * max(0.0, dot(n, normalize(vec3(-0.35, 0.5, 1.0))));
  base *= mix(1.0, light, uRelief);
  if (!gl_FrontFacing && uRelief > 0.0) base *= vec3(0.72, 0.72, 0.76);
  colour = vec4(base, 1.0);
}
`;

/** Face number + 1 in red, green and blue; blue's high bit marks a line. */
export const SURFACE_PICK_FRAGMENT = `
in vec3 vView;
in vec3 vNormal;
in vec2 vSheet;
in vec3 vRim;
flat in float vFace;
flat in float vChart;
out vec4 colour;
void main() {
  int i = int(vFace + 0.5) + 1;
  colour = vec4(float(i & 255), float((i >> 8) & 255), float((i >> 16) & 127), 255.0) / 255.0;
}
`;

export const LINE_VERTEX = `
in vec3 from;
in vec3 to;
in vec4 sheetEnds;
in vec4 run;
in vec3 tint;
in vec2 dash;
uniform vec2 uSize;
uniform float uWidth;
uniform float uBias;
uniform float uLit;
out vec3 vTint;
out float vAlong;
out vec2 vDash;
out float vId;
${PLACE}
void main() {
  vec4 a = projectionMatrix * modelViewMatrix * vec4(place(from, sheetEnds.xy, run.x), 1.0);
  vec4 b = projectionMatrix * modelViewMatrix * vec4(place(to, sheetEnds.zw, run.x), 1.0);
  float width = uWidth * (abs(run.y - uLit) < 0.5 ? 2.0 : 1.0);
  vec2 along = (b.xy / b.w - a.xy / a.w) * uSize;
  along = length(along) > 1e-6 ? normalize(along) : vec2(1.0, 0.0);
  vec2 across = vec2(-along.y, along.x);
  vec4 at = mix(a, b, position.x);
  at.xy += (across * position.y + along * (position.x - 0.5)) * width / uSize * at.w;
  at.z -= uBias * at.w;
  vTint = tint;
  vAlong = mix(run.z, run.w, position.x);
  vDash = dash;
  vId = run.y;
  gl_Position = at;
}
`;

export const LINE_FRAGMENT = `
in vec3 vTint;
in float vAlong;
in vec2 vDash;
in float vId;
uniform float uLit;
uniform float uAlpha;
uniform vec4 uCasing;
out vec4 colour;
void main() {
  if (vDash.x > 0.0 && mod(vAlong, vDash.x + vDash.y) > vDash.x && uCasing.a == 0.0) discard;
  float dim = uLit >= 0.0 && abs(vId - uLit) > 0.5 ? 0.45 : 1.0;
  colour = uCasing.a > 0.0 ? vec4(uCasing.rgb, uAlpha * dim) : vec4(vTint, uAlpha * dim);
}
`;

export const LINE_PICK_FRAGMENT = `
in vec3 vTint;
in float vAlong;
in vec2 vDash;
in float vId;
out vec4 colour;
void main() {
  int i = int(vId + 0.5) + 1;
  colour = vec4(float(i & 255), float((i >> 8) & 255), 128.0, 255.0) / 255.0;
}
`;

export const DOT_VERTEX = `
in vec2 sheet;
in float chart;
in float kind;
uniform float uPixels;
uniform float uBias;
out float vKind;
${PLACE}
void main() {
  gl_Position = projectionMatrix * modelViewMatrix * vec4(place(position, sheet, chart), 1.0);
  gl_Position.z -= uBias * gl_Position.w;
  gl_PointSize = 15.0 * uPixels;
  vKind = kind;
}
`;

/** Kind 0 is a waypoint (a lozenge), kind 1 a pin (a ring with a dot). */
export const DOT_FRAGMENT = `
in float vKind;
uniform vec3 uInk;
uniform vec3 uPaper;
out vec4 colour;
void main() {
  vec2 p = gl_PointCoord * 2.0 - 1.0;
  float r = vKind < 0.5 ? abs(p.x) + abs(p.y) : length(p);
  if (r > 0.95) discard;
  bool isInk = vKind < 0.5 ? r < 0.62 : (r < 0.72 && r > 0.48) || r < 0.22;
  colour = vec4(isInk ? uInk : uPaper, 1.0);
}
`;
