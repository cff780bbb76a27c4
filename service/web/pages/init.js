"use strict";
// validatorUrl: the page's own contract is checked by the project's tests, not by a foreign host.
window.ui = SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#contract",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  persistAuthorization: false,
  tryItOutEnabled: true,
  validatorUrl: null,
});
