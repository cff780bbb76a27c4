import js from "@eslint/js";
import globals from "globals";

const strict = {
  curly: ["error", "multi-line"],
  eqeqeq: "error",
  "no-implicit-globals": "error",
  "no-restricted-properties": ["error", { property: "innerHTML" }, { property: "outerHTML" }, { property: "insertAdjacentHTML" }],
  "no-shadow": "error",
  "no-unused-vars": ["error", { argsIgnorePattern: "^_", varsIgnorePattern: "^_" }],
  "no-var": "error",
  "prefer-const": "error",
};

export default [
  js.configs.recommended,
  { linterOptions: { reportUnusedDisableDirectives: "error" } },
  { files: ["desk/*.js"], languageOptions: { globals: globals.browser }, rules: strict },
  {
    files: ["docs/*.js"],
    languageOptions: { sourceType: "script", globals: { ...globals.browser, SwaggerUIBundle: "readonly" } },
    rules: { ...strict, "no-implicit-globals": "off" },
  },
];
