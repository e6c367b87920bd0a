// Distance of every point to the mesh: Embree's point query over its float32 tree. The distance to a
// triangle is worked out in double precision, so that only the choice of boxes is rounded, and that outward.
#include "scene.hpp"
#include <cmath>
#include <embree3/rtcore.h>

struct Query {
  const double* corners;
  const double* point;
  double square;
};

static double dot(const double* a, const double* b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

/** Squared distance of a point to a triangle, by the regions of Ericson, Real-Time Collision Detection (2005), 5.1.5. */
static double squareTo(const double* c, const double* p) {
  double u[3], w[3], a[3], b[3], d[3];
  for (int k = 0; k < 3; k++) {
    u[k] = c[3 + k] - c[k];
    w[k] = c[6 + k] - c[k];
    a[k] = p[k] - c[k];
    b[k] = p[k] - c[3 + k];
    d[k] = p[k] - c[6 + k];
  }
  const auto from = [&](double s, double t) {
    double r[3];
    for (int k = 0; k < 3; k++) r[k] = a[k] - s * u[k] - t * w[k];
    return dot(r, r);
  };
  const double d1 = dot(u, a), d2 = dot(w, a), d3 = dot(u, b), d4 = dot(w, b), d5 = dot(u, d), d6 = dot(w, d);
  if (d1 <= 0 && d2 <= 0) return from(0, 0);
  if (d3 >= 0 && d4 <= d3) return from(1, 0);
  const double vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return from(d1 / (d1 - d3), 0);
  if (d6 >= 0 && d5 <= d6) return from(0, 1);
  const double vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return from(0, d2 / (d2 - d6));
  const double va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 >= d3 && d5 >= d6) {
    const double t = (d4 - d3) / (d4 - d3 + d5 - d6);
    return from(1 - t, t);
  }
  const double sum = va + vb + vc;
  return from(vb / sum, vc / sum);
}

static bool look(RTCPointQueryFunctionArguments* arguments) {
  Query* query = static_cast<Query*>(arguments->userPtr);
  const double* corners = query->corners + size_t(9) * arguments->primID;
  // A triangle without an area has no regions; its edges belong to its neighbours.
  if (squareOfArea(corners) == 0) return false;
  const double square = squareTo(corners, query->point);
  if (!(square < query->square)) return false;
  query->square = square;
  // The boxes are looked at from the point as rounded to float32: a hair more than the rounding of 200 mm.
  arguments->query->radius = float(std::sqrt(square) * (1 + 1e-6) + 2e-5);
  return true;
}

int main(int, char** arguments) {
  const Scene scene = readScene(arguments[1]);
  const auto start = now();
  RTCDevice device = rtcNewDevice("threads=1");
  RTCScene mesh = rtcNewScene(device);
  RTCGeometry geometry = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* vertices = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float), size_t(3) * scene.triangles));
  auto* corners = static_cast<uint32_t*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(uint32_t), scene.triangles));
  for (size_t i = 0; i < size_t(9) * scene.triangles; i++) vertices[i] = float(scene.corners[i]);
  for (uint32_t i = 0; i < 3 * scene.triangles; i++) corners[i] = i;
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(mesh, geometry);
  rtcReleaseGeometry(geometry);
  rtcCommitScene(mesh);
  const double built = secondsSince(start);
  std::vector<double> distances(scene.points);
  const auto asking = now();
  for (uint32_t i = 0; i < scene.points; i++) {
    Query query{scene.corners.data(), &scene.point[size_t(3) * i], INFINITY};
    RTCPointQuery around;
    around.x = float(query.point[0]);
    around.y = float(query.point[1]);
    around.z = float(query.point[2]);
    around.radius = INFINITY;
    around.time = 0;
    RTCPointQueryContext context;
    rtcInitPointQueryContext(&context);
    rtcPointQuery(mesh, &around, &context, look, &query);
    distances[i] = std::sqrt(query.square);
  }
  writeAnswer(arguments[2], built, secondsSince(asking), distances);
  rtcReleaseScene(mesh);
  rtcReleaseDevice(device);
}
