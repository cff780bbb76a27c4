# The service alone, in two stages on one base: the first installs locked files and writes the list of what is inside,
# the second takes over the finished environment. The base has a shell; nothing at run time needs it.

# The environment's python is a link to the base's, so both stages need the same one. To pin it further, put the digest of
# your registry's copy behind the tag: python:3.11-slim-bookworm@sha256:...
FROM docker.io/library/python:3.11-slim-bookworm AS base


FROM base AS build
ENV PIP_DISABLE_PIP_VERSION_CHECK=1 \
    PIP_NO_CACHE_DIR=1 \
    PIP_NO_COMPILE=1 \
    PIP_ONLY_BINARY=:all: \
    PIP_ROOT_USER_ACTION=ignore
WORKDIR /source

# A C compiler for the core; it stays in this stage. Its version is the base's.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install --yes --no-install-recommends gcc libc6-dev \
    && rm -rf /var/lib/apt/lists/*

# What only the build needs stays in /tools; the environment itself gets no installer. Every file is the one whose SHA-256 is
# locked. /tools has the dependencies too: what compiles asks for their types. They come before the source: a change of the
# source leaves this layer as it is.
COPY deploy/hashes.txt deploy/hashes-build.txt deploy/
RUN python3 -m venv --without-pip /opt/lathwind \
    && python3 -m venv /tools \
    && /tools/bin/pip install --require-hashes -r deploy/hashes-build.txt \
    && /tools/bin/pip install --require-hashes -r deploy/hashes.txt \
    && /tools/bin/pip --python /opt/lathwind/bin/python3 install --require-hashes -r deploy/hashes.txt

# The core to machine code; the rest to bytecode here, since the root file system is read-only later, and by content, so that
# no time stamp counts.
COPY pyproject.toml README.md ./
COPY openapi/openapi.json openapi/
COPY service service
RUN CFLAGS="-ffp-contract=off -fno-semantic-interposition" HATCH_BUILD_HOOK_ENABLE_MYPYC=1 \
    /tools/bin/pip wheel --no-deps --no-build-isolation --wheel-dir /tools/wheel . \
    && /tools/bin/pip --python /opt/lathwind/bin/python3 install --no-deps /tools/wheel/*.whl \
    && python3 -m compileall -q --invalidation-mode unchecked-hash /opt/lathwind/lib \
    && /tools/bin/cyclonedx-py environment --pyproject pyproject.toml --output-reproducible --output-format JSON \
         --output-file /opt/lathwind/sbom.cdx.json /opt/lathwind/bin/python3


FROM base
COPY --from=build /opt/lathwind /opt/lathwind
ENV LATHWIND_HOST=0.0.0.0 \
    LATHWIND_PORT=8000 \
    LATHWIND_WORKERS=1 \
    PATH=/opt/lathwind/bin:$PATH \
    PYTHONDONTWRITEBYTECODE=1 \
    PYTHONSAFEPATH=1 \
    PYTHONUNBUFFERED=1
USER 10001:10001
EXPOSE 8000
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=10s --timeout=3s --start-period=15s --retries=3 CMD ["/opt/lathwind/bin/python3", "-c", \
  "import http.client, os, sys; c = http.client.HTTPConnection('127.0.0.1', int(os.environ['LATHWIND_PORT']), timeout=2); c.request('GET', '/health/ready'); sys.exit(c.getresponse().status != 200)"]
ENTRYPOINT ["/opt/lathwind/bin/python3", "-m", "service"]

# Last, so that a new version or revision leaves the layers above as they are.
ARG VERSION=unknown
ARG REVISION=unknown
LABEL org.opencontainers.image.title="Lathwind" \
      org.opencontainers.image.description="Calculation service for fitting roll-up shutters to work vehicles" \
      org.opencontainers.image.version="${VERSION}" \
      org.opencontainers.image.revision="${REVISION}"
