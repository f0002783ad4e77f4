// Our own line drawings for empty views: the result that the first step leads to.
import { html } from './html.js';

const Frame = ({ children, box = '0 0 320 180' }) => html`<svg class="drawing" viewBox=${box} aria-hidden="true">${children}</svg>`;

export const ScrapsDrawing = () => html`<${Frame}>
  <path class="wash" d="M30 42l74-14 18 62-70 22zM196 24l70 12-8 70-58-8z" />
  <path class="wash" d="M112 110l70-18 22 52-84 16z" />
  <path class="thread" d="M30 42l74-14 18 62-70 22zM196 24l70 12-8 70-58-8zM112 110l70-18 22 52-84 16z" />
  <rect class="pen" x="238" y="122" width="60" height="42" />
  <path class="ink" d="M243 127h11v11h-11zM282 127h11v11h-11zM243 148h11v11h-11zM282 148h11v11h-11z" />
</${Frame}>`;

export const BasketDrawing = () => html`<${Frame}>
  <path class="wash" d="M78 34h40v40h-40zM158 34h40v40h-40zM118 74h40v40h-40zM198 74h40v40h-40z" />
  <path class="pen" d="M78 34h160v80h-160zM118 34v80M158 34v80M198 34v80M78 74h160" />
  <path class="thread" d="M60 92c6 52 28 70 100 70s94-18 100-70" />
</${Frame}>`;

export const QuiltDrawing = () => html`<${Frame}>
  <path class="pen" d="M80 18h160v144h-160zM80 66h160M80 114h160M133 18v144M186 18v144" />
  <path class="wash" d="M80 18h18v16h-18zM98 34h18v16h-18zM116 50h17v16h-17zM133 66h18v16h-18zM151 82h18v16h-18zM169 98h17v16h-17zM186 114h18v16h-18zM204 130h18v16h-18zM222 146h18v16h-18z" />
  <path class="thread" d="M84 22l45 40M129 22l-45 40M137 70l45 40M182 70l-45 40M190 22l45 40M235 22l-45 40" />
</${Frame}>`;

export const RecordDrawing = () => html`<${Frame}>
  <path class="thread" d="M24 120h272" />
  <path class="wash" d="M50 60h44v44h-44zM138 42h56v62h-56zM240 70h36v34h-36z" />
  <path class="pen" d="M50 60h44v44h-44zM72 60v44M50 82h44M138 42h56v62h-56zM166 42v62M138 73h56M240 70h36v34h-36zM258 70v34M240 87h36M72 104v16M166 104v16M258 104v16" />
</${Frame}>`;
