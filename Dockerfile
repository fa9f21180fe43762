# The phone app and the core, then the server, then nothing but the binary.
FROM golang:1.26-bookworm AS core
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN mkdir -p pwa/core \
 && GOOS=js GOARCH=wasm go build -trimpath -gcflags=witnessmark/...=-l -ldflags="-s -w" -o pwa/core/core.wasm ./sync/wasm \
 && cp "$(go env GOROOT)/lib/wasm/wasm_exec.js" pwa/core/wasm_exec.js

FROM node:20-bookworm-slim AS app
WORKDIR /src/pwa
COPY pwa/package.json pwa/package-lock.json ./
RUN npm ci --no-audit --no-fund
COPY pwa .
COPY --from=core /src/pwa/core ./core
RUN npm run build

FROM core AS server
COPY --from=app /src/pwa/dist/ server/web/dist/
RUN CGO_ENABLED=0 GOAMD64=v1 go build -trimpath -ldflags="-s -w" -o /witnessmark ./server \
 && mkdir /data && chown 65532:65532 /data

FROM gcr.io/distroless/static-debian12:nonroot
COPY --from=server /witnessmark /witnessmark
COPY --from=server --chown=65532:65532 /data /data
VOLUME /data
EXPOSE 8080
USER 65532:65532
HEALTHCHECK --interval=30s --timeout=3s CMD ["/witnessmark", "health", "-addr", "127.0.0.1:8080"]
ENTRYPOINT ["/witnessmark"]
CMD ["serve", "-data", "/data", "-addr", "0.0.0.0:8080"]
