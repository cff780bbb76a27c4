// Node's own modules want the extension of what they import
export default { input: "openapi.json", output: { path: "client", importFileExtension: ".js" } };
