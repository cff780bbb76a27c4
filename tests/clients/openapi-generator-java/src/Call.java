import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.SerializerProvider;
import com.fasterxml.jackson.databind.module.SimpleModule;
import com.fasterxml.jackson.databind.ser.std.StdSerializer;
import java.io.File;
import java.io.IOException;
import java.math.BigDecimal;
import java.net.http.HttpClient;
import java.nio.file.Files;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.openapitools.client.ApiClient;
import org.openapitools.client.ApiException;
import org.openapitools.client.api.AuditApi;
import org.openapitools.client.api.CalibrationApi;
import org.openapitools.client.api.ContractApi;
import org.openapitools.client.api.CuttingPlansApi;
import org.openapitools.client.api.DrawingsAndSheetsApi;
import org.openapitools.client.api.FittingsApi;
import org.openapitools.client.api.HealthApi;
import org.openapitools.client.api.ReferenceDataApi;
import org.openapitools.client.model.BatchRequest;
import org.openapitools.client.model.CalibrationRequest;
import org.openapitools.client.model.CuttingRequest;
import org.openapitools.client.model.Fitting;
import org.openapitools.client.model.FittingRequest;
import org.openapitools.client.model.MeasuredCoil;
import org.openapitools.client.model.Opening;
import org.openapitools.client.model.PieceRow;
import org.openapitools.client.model.Problem;
import org.openapitools.client.model.Shutter;
import org.openapitools.client.model.StockRow;
import org.openapitools.client.model.Survey;

/** Calls every operation with a Java client of openapi-generator; prints a figure of each answer. */
class Call {
    /** How a file is sent: as it is. Without this the client would send its name. */
    static class Contents extends StdSerializer<File> {
        Contents() {
            super(File.class);
        }

        @Override
        public void serialize(File file, JsonGenerator body, SerializerProvider provider) throws IOException {
            body.writeRaw(Files.readString(file.toPath()));
        }
    }

    static BigDecimal number(String written) {
        return new BigDecimal(written);
    }

    static Opening behind(String headroom) {
        return new Opening().headroomMm(number(headroom)).depthMm(number("620")).headerThicknessMm(number("40"));
    }

    static MeasuredCoil coil(String slats, String radius) {
        return new MeasuredCoil().slatCount(number(slats)).radiusMm(number(radius));
    }

    static PieceRow pieces(String length, String count) {
        return new PieceRow().profile("slim").lengthMm(number(length)).count(number(count));
    }

    static void tell(String operation, Object figure) {
        System.out.println(operation + " " + figure);
    }

    public static void main(String[] arguments) throws Exception {
        ApiClient client = new ApiClient();
        // behind the proxy Java's wish for HTTP/2 is taken out; the bare service refuses it
        client.setHttpClientBuilder(HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1));
        client.setObjectMapper(client.getObjectMapper().registerModule(
                new SimpleModule().addSerializer(File.class, new Contents())));
        client.updateBaseUri(arguments[0]);
        client.setRequestInterceptor(request -> request.header("Authorization", "Bearer " + arguments[1]));
        FittingsApi fittings = new FittingsApi(client);
        DrawingsAndSheetsApi drawings = new DrawingsAndSheetsApi(client);
        CuttingPlansApi plans = new CuttingPlansApi(client);
        ReferenceDataApi data = new ReferenceDataApi(client);
        HealthApi health = new HealthApi(client);

        FittingRequest truck = new FittingRequest().reference("lock-gate truck, nearside 2")
                .opening(behind("310").widthMm(number("1180")).heightMm(number("1420"))).shutter(new Shutter().slat("slim"))
                .options(List.of(FittingRequest.OptionsEnum.DRIP_RAIL, FittingRequest.OptionsEnum.STRIP_LIGHT));
        Survey survey = new Survey().widthsMm(List.of(number("300"), number("300")))
                .heightsMm(List.of(number("1900"), number("1900")));
        FittingRequest locker = new FittingRequest().opening(behind("330").survey(survey)).shutter(new Shutter().slat("slim"));
        FittingRequest unserved = new FittingRequest().opening(locker.getOpening()).shutter(new Shutter().slat("featherweight"));

        Set<String> include = new LinkedHashSet<>(List.of("trace", "geometry", "balance_curve", "candidates", "cures"));
        for (FittingRequest request : List.of(truck, locker)) {
            Fitting fitting = fittings.calculateFitting(request, include, null, null, null);
            tell("calculateFitting", fitting.getCoil().getRadiusMm());
            tell("verifyResult", new AuditApi(client).verifyResult(fitting, null, null).getOutcome());
        }
        try {
            fittings.calculateFitting(unserved, null, null, null, null);
        } catch (ApiException refused) {
            Problem problem = client.getObjectMapper().readValue(refused.getResponseBody(), Problem.class);
            tell("problem", problem.getErrors().get(0).getPointer());
        }

        tell("calculateShort", fittings.calculateShort(truck, null, null).getCoil().getRadiusMm());
        var items = fittings.calculateBatch(new BatchRequest().items(List.of(truck, unserved)), null, null, null).getItems();
        tell("calculateBatch", items.get(0).getFitting().getCoil().getRadiusMm() + ","
                + items.get(1).getProblem().getErrors().get(0).getPointer());
        File lines = new File(arguments[2], "evening-order.request.ndjson");
        tell("calculateStream", fittings.calculateStream(lines, "short", "example", null).length());
        File table = new File(arguments[2], "evening-order.request.csv");
        tell("calculateTable", fittings.calculateTable(table, null, null, null, null).length());
        tell("rankAlternatives", fittings.rankAlternatives(truck, null, null, null).getAlternatives().size());
        tell("findLimits", fittings.findLimits(truck, null, null).getLimits().size());

        tell("drawSection", drawings.drawSection(truck, null, null, null).length());
        tell("drawPlan", drawings.drawPlan(truck, "none", null, null).length());
        tell("drawFront", drawings.drawFront(truck, null, null, null).length());
        tell("drawPlate", drawings.drawPlate(truck, null, null, null).length());
        tell("exportPlate", drawings.exportPlate(truck, null, null).length());
        tell("printPlate", drawings.printPlate(truck, "a3", null, null).length());
        tell("printSheet", drawings.printSheet(truck, null, null).length());

        CalibrationRequest measured = new CalibrationRequest().slat("slim").tube("T50")
                .coils(List.of(coil("30", "64.5"), coil("38", "71"), coil("44", "75")));
        tell("calibrateSlat", new CalibrationApi(client).calibrateSlat(measured, null, null).getNesting());

        CuttingRequest order = new CuttingRequest()
                .pieces(List.of(pieces("1180", "4"), pieces("927.4", "3").reference("weed-boat trailer")))
                .stock(List.of(new StockRow().profile("slim").lengthMm(number("6500")).kerfMm(number("3.2"))));
        tell("planCutting", plans.planCutting(order, null, null).getProfiles().get(0).getBarCount());
        tell("listCutting", plans.listCutting(order, null, null).length());
        tell("drawCutting", plans.drawCutting(order, null, null, null).length());

        tell("getCatalogue", data.getCatalogue(null, null, null).getCatalogue().getId());
        tell("getRules", data.getRules(null, null, null).getRules().size());
        tell("getWarnings", data.getWarnings(null, null, null).getWarnings().size());
        tell("getProblem", data.getProblem("busy", null, null, null).getStatus());
        tell("getLiveness", health.getLiveness(null, null).getStatus());
        tell("getReadiness", health.getReadiness(null, null).getStatus());
        tell("getMetrics", health.getMetrics(null, null).substring(0, 6));
        tell("getContract", new ContractApi(client).getContract(null, null, null).size());
    }
}
