import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.file.Path;

/** Posts a file, as Java's own client does it by default (with a wish for h2c), ten times; prints the statuses and an answer. */
class Caller {
    public static void main(String[] arguments) throws Exception {
        HttpClient client = HttpClient.newHttpClient();
        HttpRequest request = HttpRequest.newBuilder(URI.create(arguments[0]))
                .header("Content-Type", "application/json")
                .POST(HttpRequest.BodyPublishers.ofFile(Path.of(arguments[1])))
                .build();
        HttpResponse<String> response = null;
        for (int call = 0; call < 10; call++) {
            response = client.send(request, HttpResponse.BodyHandlers.ofString());
            System.out.println(response.statusCode() + " " + response.version());
        }
        System.out.println(response.body());
    }
}
